//! Options that say how a file is written and what its columns hold; `read` and `calc` share them.

use clap::Args;

use crate::cli::{CliError, Common};
use crate::import::dialect::{Decimal, Separator};
use crate::import::mapping::{Mapping, holds, known};
use crate::import::{Channel, Options, header, saved};

/// How a file is written and what its columns hold.
#[derive(Args, Clone, Debug, Default)]
pub struct FileArgs {
    /// What columns hold, as saved under this name, or in this file
    #[arg(long, value_name = "NAME")]
    pub mapping: Option<String>,
    /// The unit of a column, such as "MAF=g/s"; may be repeated
    #[arg(long, value_name = "COLUMN=UNIT")]
    pub unit: Vec<String>,
    /// What a column holds, such as "N=engine speed" or "Note=nothing"; may be repeated
    #[arg(long, value_name = "COLUMN=WHAT")]
    pub column: Vec<String>,
    /// What stands between cells, where it is not found: comma, semicolon or tab
    #[arg(long, value_name = "WORD")]
    pub separator: Option<String>,
    /// What stands before decimals, where it is not found: point or comma
    #[arg(long, value_name = "WORD")]
    pub decimal: Option<String>,
}

/// An option that cannot be understood.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("--{option} \"{text}\": {help}")]
pub struct OptionError {
    option: &'static str,
    text: String,
    help: String,
}

fn wrong(option: &'static str, text: &str, help: impl Into<String>) -> OptionError {
    OptionError {
        option,
        text: text.to_owned(),
        help: help.into(),
    }
}

impl FileArgs {
    /// As the reader of files takes them; a saved mapping is looked for in the folder of jobs.
    ///
    /// # Errors
    /// If an option cannot be understood, or the mapping cannot be read.
    pub fn options(&self, common: &Common) -> Result<Options, CliError> {
        let mapping = match &self.mapping {
            Some(name) => saved::find(&common.folder()?, name)?,
            None => Mapping::default(),
        };
        Ok(Options {
            mapping,
            ..self.told()?
        })
    }

    fn told(&self) -> Result<Options, OptionError> {
        let separator = self.separator.as_deref().map(separator).transpose()?;
        let decimal = self.decimal.as_deref().map(decimal).transpose()?;
        let columns = self.column.iter().map(|text| column(text));
        let units = self.unit.iter().map(|text| unit(text));
        Ok(Options {
            separator,
            decimal,
            mapping: Mapping::default(),
            columns: columns.collect::<Result<_, _>>()?,
            units: units.collect::<Result<_, _>>()?,
            purpose: None,
        })
    }
}

fn separator(text: &str) -> Result<Separator, OptionError> {
    let said = |separator: &Separator| separator.word() == text;
    let found = Separator::ALL.into_iter().find(said);
    found.ok_or_else(|| wrong("separator", text, "say comma, semicolon or tab"))
}

fn decimal(text: &str) -> Result<Decimal, OptionError> {
    let said = |decimal: &Decimal| decimal.word() == text;
    let found = Decimal::ALL.into_iter().find(said);
    found.ok_or_else(|| wrong("decimal", text, "say point or comma"))
}

fn column(text: &str) -> Result<(String, Option<Channel>), OptionError> {
    // A header may have an equals sign in it; what a column holds has none.
    let (name, what) = text.rsplit_once('=').ok_or_else(|| {
        wrong(
            "column",
            text,
            "write COLUMN=WHAT, such as \"N=engine speed\"",
        )
    })?;
    let holds = holds(what).ok_or_else(|| wrong("column", text, known()))?;
    Ok((name.trim().to_owned(), holds))
}

fn unit(text: &str) -> Result<(String, crate::units::Unit), OptionError> {
    let (name, unit) = text
        .rsplit_once('=')
        .ok_or_else(|| wrong("unit", text, "write COLUMN=UNIT, such as \"MAF=g/s\""))?;
    let found = header::unit(unit).ok_or_else(|| {
        let help = "write a unit such as rpm, g/s, kPa, %, C, s, V";
        wrong("unit", text, help)
    })?;
    Ok((name.trim().to_owned(), found))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(change: impl Fn(&mut FileArgs)) -> Result<Options, String> {
        let mut args = FileArgs::default();
        change(&mut args);
        args.told().map_err(|error| error.to_string())
    }

    #[test]
    fn units_and_columns_are_told_by_name() {
        let options = told(|args| {
            args.unit = vec!["MAF = kg/h".to_owned()];
            args.column = vec!["a=b=engine speed".to_owned(), "Note=nothing".to_owned()];
            args.separator = Some("tab".to_owned());
        })
        .expect("understood");
        assert_eq!(options.units[0].0, "MAF");
        assert_eq!(options.units[0].1.name(), "kg/h");
        assert_eq!(options.columns[0], ("a=b".to_owned(), Some(Channel::Speed)));
        assert_eq!(options.columns[1], ("Note".to_owned(), None));
        assert_eq!(options.separator, Some(Separator::Tab));
    }

    #[test]
    fn what_cannot_be_understood_is_named_with_the_option() {
        let unit = told(|args| args.unit = vec!["MAF=gg".to_owned()]).expect_err("refused");
        assert_eq!(
            unit,
            "--unit \"MAF=gg\": write a unit such as rpm, g/s, kPa, %, C, s, V"
        );
        let column = told(|args| args.column = vec!["N".to_owned()]).expect_err("refused");
        assert!(column.contains("write COLUMN=WHAT"), "{column}");
        let what = told(|args| args.column = vec!["N=revs".to_owned()]).expect_err("refused");
        assert!(what.contains("say one of: time, engine speed"), "{what}");
        let mark = told(|args| args.decimal = Some("dot".to_owned())).expect_err("refused");
        assert_eq!(mark, "--decimal \"dot\": say point or comma");
    }
}

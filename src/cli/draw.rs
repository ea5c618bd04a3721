//! `ruleout draw`: a flow as a drawing.

use std::path::Path;

use clap::{Args, ValueEnum};

use super::{CliError, Common, Outcome, files, print};
use crate::check::draw::{dot, mermaid, svg, text};
use crate::flow::load::load;
use crate::flow::model::Flow;

/// Draw a flow: its steps, and where each outcome leads
#[derive(Args, Clone, Debug)]
pub struct DrawArgs {
    /// A flow's id, or a flow file
    flow: String,
    /// The form of the drawing
    #[arg(long = "as", value_enum, default_value = "text", value_name = "FORM")]
    form: Form,
}

/// The forms of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Form {
    /// For the terminal
    Text,
    /// A picture for paper or a browser
    Svg,
    /// Mermaid
    Mermaid,
    /// DOT
    Dot,
}

/// Draws the flow.
///
/// # Errors
/// For a flow that is not there, cannot be read or has mistakes.
pub fn run(args: &DrawArgs, common: &Common) -> Result<Outcome, CliError> {
    let shelf = common.shelf()?;
    let drawing = match shelf.find(&args.flow) {
        Some(shelved) => draw(&shelved.flow, args.form),
        None => draw(&from_file(Path::new(&args.flow))?, args.form),
    };
    print(&drawing)?;
    Ok(Outcome::Fine)
}

/// The flow in a file.
///
/// # Errors
/// For a file that is not there, cannot be read or has mistakes.
pub(super) fn from_file(path: &Path) -> Result<Flow, CliError> {
    if !path.exists() {
        return Err(CliError::NoFlow(path.display().to_string()));
    }
    let path = path.to_owned();
    let text = files::flow_text(&path).map_err(|error| CliError::Flow {
        path: path.clone(),
        error,
    })?;
    load(&text).flow.ok_or(CliError::FlowMistakes(path))
}

fn draw(flow: &Flow, form: Form) -> String {
    match form {
        Form::Text => text::draw(flow),
        Form::Svg => svg::draw(flow),
        Form::Mermaid => mermaid::draw(flow),
        Form::Dot => dot::draw(flow),
    }
}

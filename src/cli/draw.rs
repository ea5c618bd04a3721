//! `ruleout draw`: a flow as a drawing.

use std::io::{self, Write};
use std::path::Path;
use std::sync::Arc;

use clap::{Args, ValueEnum};

use super::{CliError, Common, Outcome, clean, files, print};
use crate::check::draw::{dot, mermaid, svg, text};
use crate::check::{Source, check};
use crate::flow::finding::Severity;
use crate::flow::load::load;
use crate::flow::model::Flow;
use crate::flow::shelf::Shelf;

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
    common.settings_or_say();
    let flow = named(&common.shelf()?, &args.flow)?;
    print(&draw(&flow, args.form))?;
    Ok(Outcome::Fine)
}

/// The flow of this id, or the one in the file of this name.
///
/// # Errors
/// For a flow that is not there, cannot be read or has mistakes.
pub(super) fn named(shelf: &Shelf, name: &str) -> Result<Arc<Flow>, CliError> {
    if let Some(shelved) = shelf.find(name) {
        return Ok(Arc::clone(&shelved.flow));
    }
    let path = Path::new(name);
    if !path.exists() {
        return Err(CliError::no_flow(name, shelf));
    }
    let path = path.to_owned();
    let text = files::flow_text(&path).map_err(|error| CliError::Flow {
        path: path.clone(),
        error,
    })?;
    let flow = load(&text).flow.map(Arc::new);
    flow.ok_or(CliError::FlowMistakes(path))
}

/// Says on stderr that the checker finds mistakes in a flow of the owner's, from which what is worked out then suffers.
pub(super) fn say_mistakes(shelf: &Shelf, name: &str) {
    let (origin, text) = match shelf.find(name) {
        Some(shelved) if shelved.is_owners() => (shelved.origin.clone(), shelved.text.clone()),
        Some(_) => return,
        None => match files::flow_text(Path::new(name)) {
            Ok(text) => (name.to_owned(), text),
            Err(_) => return,
        },
    };
    let sources = [Source { name: origin, text }];
    let errors: usize = check(&sources, shelf)
        .iter()
        .map(|checked| checked.count(Severity::Error))
        .sum();
    if errors > 0 {
        let s = if errors == 1 { "" } else { "s" };
        let file = &sources[0].name;
        let said = format!(
            "ruleout: the checker finds {errors} mistake{s} in this flow, and what follows may come of them; run: ruleout \
             check {file}"
        );
        let _ = writeln!(io::stderr(), "{}", clean(&said));
    }
}

fn draw(flow: &Flow, form: Form) -> String {
    match form {
        Form::Text => text::draw(flow),
        Form::Svg => svg::draw(flow),
        Form::Mermaid => mermaid::draw(flow),
        Form::Dot => dot::draw(flow),
    }
}

//! The flow as a map: its steps in their order with their ways, the path walked, where the walk
//! stands, and what is left.

use ratatui::layout::Rect;

use super::canvas::{Canvas, split};
use super::sheet::Sheet;
use crate::check::draw::text::reached;
use crate::check::draw::{Way, leads_to, ways};
use crate::engine::event::Suggested;
use crate::engine::job::{How, Run, Station, Visit};
use crate::engine::shown;
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// How a step stands in the present test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mark {
    Here,
    Done,
    Skipped,
    Open,
}

impl Mark {
    fn letter(self) -> &'static str {
        match self {
            Self::Here => ">",
            Self::Done => "+",
            Self::Skipped => "~",
            Self::Open => ".",
        }
    }

    fn role(self) -> Role {
        match self {
            Self::Here => Role::Focus,
            Self::Done => Role::Pass,
            Self::Skipped => Role::Caution,
            Self::Open => Role::Plain,
        }
    }
}

/// Draws the map, scrolled this far.
pub fn draw(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let Some(run) = model.open.as_ref().and_then(|open| open.job.run()) else {
        return;
    };
    let mut head = Sheet::new(area.width);
    summary(&mut head, run);
    head.blank();
    let (top, rest) = split(area, head.height());
    head.draw(canvas, top);
    let (sheet, _) = drawn(run, area.width.saturating_sub(2));
    sheet.draw_scrolled(canvas, rest, scroll);
}

/// The row from which on the map is shown first, so that where the walk stands is in sight.
pub fn here(run: &Run, columns: u16) -> u16 {
    let (_, here) = drawn(run, columns);
    here.unwrap_or(0).saturating_sub(4)
}

fn summary(sheet: &mut Sheet, run: &Run) {
    let steps = reached(&run.flow);
    let is = |step: &&Step, mark: Mark| self::mark(run, &step.id) == mark;
    let done = steps.iter().filter(|step| is(step, Mark::Done)).count();
    let open: Vec<&&Step> = steps.iter().filter(|step| is(step, Mark::Open)).collect();
    let minutes: f64 = open.iter().fold(0.0, |sum, step| sum + step.minutes);
    let here = if steps.iter().any(|step| is(step, Mark::Here)) {
        ", 1 here"
    } else {
        ""
    };
    let text = format!(
        "{done} of {} steps done{here}, {} not yet ({} if all were walked)",
        steps.len(),
        open.len(),
        shown::minutes(minutes)
    );
    sheet.labelled(Role::Strong, &format!("{}:", run.flow.title), &text);
    sheet.text(
        Role::Muted,
        "> here   + done   ~ skipped   . not yet   => the way that was taken",
    );
}

/// The map, and the row on which the walk stands.
fn drawn(run: &Run, columns: u16) -> (Sheet, Option<u16>) {
    let mut sheet = Sheet::new(columns);
    let mut here = None;
    for step in reached(&run.flow) {
        let mark = mark(run, &step.id);
        if mark == Mark::Here {
            here = Some(sheet.height());
        }
        let head = format!("{} [{}] ", mark.letter(), step.phase.word());
        sheet.hanging(&head, "    ", mark.role(), &step.title);
        let taken = taken(run, step);
        let all = ways(step);
        let last = all.len();
        for (n, way) in all.into_iter().enumerate() {
            branch(&mut sheet, &run.flow, &way, n + 1 == last, taken);
        }
    }
    if let Some(repair) = run.visit().and_then(|visit| match &visit.station {
        Station::Repair(cause) => run.flow.cause(cause),
        _ => None,
    }) {
        here = Some(sheet.height());
        sheet.text(Role::Focus, &format!("> [repair] {}", repair.name));
    }
    (sheet, here)
}

fn branch(sheet: &mut Sheet, flow: &Flow, way: &Way, last: bool, taken: Option<Taken>) {
    let corner = if last { "`-" } else { "|-" };
    let walked = taken.is_some_and(|taken| is(way, taken));
    let (arrow, role) = if walked {
        ("=>", Role::Strong)
    } else {
        ("->", Role::Muted)
    };
    let name = way.name.replace('-', " ");
    let text = format!("{name} {arrow} {}", leads_to(flow, way.go));
    let bar = if last { "        " } else { "  |     " };
    sheet.hanging(&format!("  {corner} "), bar, role, &text);
}

/// The visits of the present test up to where the walk stands.
fn visits(run: &Run) -> impl DoubleEndedIterator<Item = &Visit> {
    let test = run.visit().map_or(1, |visit| visit.test);
    run.walked().iter().filter(move |visit| visit.test == test)
}

fn is_at(visit: &Visit, step: &str) -> bool {
    matches!(&visit.station, Station::Step(id) if id == step)
}

fn mark(run: &Run, step: &str) -> Mark {
    if run.visit().is_some_and(|visit| is_at(visit, step)) {
        return Mark::Here;
    }
    let last = visits(run).rev().find(|visit| is_at(visit, step));
    match last.and_then(|visit| Some(&visit.left.as_ref()?.how)) {
        Some(How::Skipped { .. }) => Mark::Skipped,
        Some(_) => Mark::Done,
        None => Mark::Open,
    }
}

/// The way that was taken: what it is called, where it is one of the step's own, and where it led.
type Taken<'r> = (Option<&'r str>, &'r Target);

fn is(way: &Way, (name, go): Taken) -> bool {
    go == way.go && name.is_none_or(|name| name == way.name)
}

/// How the walk went on from a step, the last time in this test. Two ways can lead to one place, so that the place alone
/// does not tell which was taken.
fn taken<'r>(run: &'r Run, step: &Step) -> Option<Taken<'r>> {
    let here = run.visit().map(|visit| visit.since_seq);
    let left = visits(run)
        .rev()
        .find(|visit| is_at(visit, &step.id) && Some(visit.since_seq) != here)?;
    match &left.left.as_ref()?.how {
        How::Outcome(taken) => {
            let by_the_rules = match taken.suggested {
                Suggested::Unsure => Some("unsure"),
                Suggested::NotValid => Some("not valid"),
                Suggested::Outcome(_) | Suggested::NoMatch => None,
            };
            Some((taken.outcome.as_deref().or(by_the_rules), &taken.go))
        }
        How::Skipped { go, .. } => Some((step.skip_to.as_ref().map(|_| "skipped"), go)),
        How::Retest => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By name where there is one: two ways that lead to one place are two.
    #[test]
    fn only_the_way_that_was_taken_is_marked() {
        let go = Target::Step("cap".to_owned());
        let taken = |name: &str, taken: Taken| {
            let way = Way {
                name,
                because: "",
                go: &go,
                skips: false,
            };
            is(&way, taken)
        };
        assert!(taken("down", (Some("down"), &go)));
        assert!(!taken("not sealed", (Some("down"), &go)));
        assert!(taken("down", (None, &go)));
        assert!(!taken("down", (Some("down"), &Target::Done)));
    }
}

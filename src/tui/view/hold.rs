//! The hold while it runs: the clock and the gauge in large digits, the fall with the fitted curve
//! and what must be left, and what it comes to as far as that can be told by now.

use chrono::TimeDelta;
use ratatui::layout::Rect;

use super::canvas::{Canvas, split};
use super::clock;
use super::plot::{self, Plot};
use super::sheet::{Part, Sheet};
use crate::engine::hold::{Firm, Going, Hold, pressure};
use crate::tui::keys;
use crate::tui::message::Act;
use crate::tui::model::{Model, Timer};
use crate::tui::theme::Role;
use crate::units::preferred::shown_unit;
use crate::units::{Dimension, Unit};

/// Columns of the clock beside the plot.
const CLOCK: u16 = 22;

/// Draws the hold that runs.
pub fn draw(model: &Model, hold: &Hold, going: &Going, canvas: &mut Canvas, area: Rect) {
    let runs = model.timer().is_some_and(|timer| timer.left > 0);
    let says = says(model, going, runs, area.width);
    let (head, rest) = split(area, 1);
    let title = model.open.as_ref().and_then(|open| open.job.run()?.step());
    let title = title.map_or("", |step| step.title.as_str());
    let end = canvas.put(head, 0, 0, title, Role::Strong);
    canvas.put(
        head,
        end,
        0,
        "   touch nothing on the car while it runs",
        Role::Muted,
    );
    let below = says.height().min(rest.height / 3);
    let (plot, bottom) = split(rest, rest.height.saturating_sub(below));
    says.draw(canvas, bottom);
    let (left, right) = (
        Rect {
            width: CLOCK.min(plot.width),
            ..plot
        },
        Rect {
            x: plot.x + CLOCK.min(plot.width),
            width: plot.width.saturating_sub(CLOCK),
            ..plot
        },
    );
    beside(model, hold, going, canvas, left);
    let unit = shown_unit(pressure(hold.end).unwrap_or(Unit::default_for(Dimension::Pressure)));
    let seconds = Unit::default_for(Dimension::Time);
    let (low, high) = ends(going);
    plot::draw(
        &Plot {
            points: &going.points,
            curve: &going.curve,
            levels: going.lines.iter().map(|(_, line)| *line).collect(),
            across: hold.seconds,
            down: low,
            up: high,
            names: [
                unit.show(high),
                unit.show(low),
                seconds.show(0.0),
                seconds.show(hold.seconds),
            ],
        },
        canvas,
        right,
    );
}

/// The ends of the axis of pressure: from zero, or from below the lowest where that would leave
/// nothing but a flat line to look at.
fn ends(going: &Going) -> (f64, f64) {
    let points = going.points.iter().chain(&going.curve).map(|at| at.1);
    let levels = going.lines.iter().map(|(_, line)| line[0].1);
    let all: Vec<f64> = points.chain(levels).collect();
    let high = all.iter().copied().fold(0.0, f64::max);
    let low = all.iter().copied().fold(high, f64::min);
    let margin = (high - low) * 0.15;
    if low > high * 0.6 && margin > 0.0 {
        (low - margin, high + margin / 3.0)
    } else {
        (0.0, high * 1.05)
    }
}

/// The clock, and the gauge as it was read last.
fn beside(model: &Model, hold: &Hold, going: &Going, canvas: &mut Canvas, area: Rect) {
    let rows = clock::rows(canvas.theme.ascii);
    let Some(timer) = model.timer() else { return };
    let (clock_area, rest) = split(area, rows);
    clock::draw(canvas, clock_area, &clock::text(timer.left), role(timer));
    canvas.put(rest, 0, 0, &words(model, timer), role(timer));
    let Some(last) = going.points.last() else {
        return;
    };
    let unit = shown_unit(pressure(hold.end).unwrap_or(Unit::default_for(Dimension::Pressure)));
    // As many digits as a gauge has, and no zeros that nobody read.
    let four_digits = format!("{:.3e}", unit.from_si(last.1));
    let number = &four_digits.parse::<f64>().unwrap_or_default().to_string();
    let (name, shown) = (unit.name(), format!("{number} {}", unit.name()));
    let gauge = Rect {
        y: rest.y + 2,
        height: rest.height.saturating_sub(2),
        ..rest
    };
    if gauge.height > rows && clock::is_large(number) && clock::columns(number) < area.width {
        clock::draw(canvas, gauge, number, Role::Strong);
        let at = format!("{name} at {:.0} s", last.0);
        canvas.put(gauge, 0, rows, &at, Role::Plain);
    } else {
        let text = format!("{shown} at {:.0} s", last.0);
        canvas.put(gauge, 0, 0, &text, Role::Strong);
    }
}

fn role(timer: Timer) -> Role {
    if timer.left <= 0 {
        Role::Pass
    } else {
        Role::Strong
    }
}

/// Seconds after which a time that is up was up a while ago.
const LATE: i64 = 60;

/// The words below a clock.
pub fn words(model: &Model, timer: Timer) -> String {
    if model.clock_waits() {
        let key = keys::shown(model, Act::Timer, model.context_below());
        format!("{key} starts {}", clock::text(timer.whole))
    } else if timer.waits {
        format!("{} from the start", clock::text(timer.whole))
    } else if timer.left < -LATE {
        let up = model.now + TimeDelta::seconds(timer.left);
        let (up, now) = (
            up.with_timezone(&model.zone),
            model.now.with_timezone(&model.zone),
        );
        if up.date_naive() == now.date_naive() {
            format!("TIME WAS UP at {}", up.format("%H:%M"))
        } else {
            format!("TIME WAS UP {}", up.format("%-d %b"))
        }
    } else if timer.left <= 0 {
        "TIME IS UP: read now".to_owned()
    } else {
        format!(
            "{} left of {}",
            clock::text(timer.left),
            clock::text(timer.whole)
        )
    }
}

/// Below the words of a clock that runs, and that is no hold's: when it began, and what begins it anew. Where that is done
/// with a key, it says so; a wait that began as its step came up may be one that nothing has begun for yet.
pub fn since(model: &Model, timer: Timer) -> Vec<String> {
    let Some(began) = timer.began.filter(|_| timer.left > 0 && model.has_timer()) else {
        return Vec::new();
    };
    let at = began.with_timezone(&model.zone).format("%H:%M");
    let key = keys::shown(model, Act::Timer, model.context_below());
    if timer.by_itself {
        vec![format!("runs since {at}"), format!("{key}: begins now")]
    } else {
        vec![format!("begun at {at}"), format!("{key}: begins anew")]
    }
}

/// What it comes to, and what the lines are.
fn says(model: &Model, going: &Going, runs: bool, columns: u16) -> Sheet {
    let mut sheet = Sheet::new(columns);
    for (words, _) in going.lines.iter().filter(|_| going.says.is_empty()) {
        sheet.row(vec![
            Part::new(Role::Caution, "╌╌ "),
            Part::new(Role::Muted, words.clone()),
        ]);
    }
    if let [first, .., last] = &going.points[..]
        && last.1 > first.1
    {
        let text =
            "It stands above its start: it warms, gives off vapour, or the supply is not shut.";
        sheet.hanging("! ", "  ", Role::Caution, text);
    }
    for (name, words, firm) in &going.says {
        let (mark, role) = match firm {
            Firm::Open => ("? ", Role::Muted),
            Firm::SoFar => ("~ ", Role::Plain),
            Firm::Settled => ("= ", Role::Strong),
        };
        // What says itself that it goes on needs no word more.
        let text = match firm {
            Firm::SoFar if !words.ends_with("like this") => {
                format!("{name}, so far: {words}")
            }
            _ => format!("{name}: {words}"),
        };
        sheet.hanging(mark, "  ", role, &text);
    }
    if runs && going.points.len() < 2 {
        sheet.text(Role::Muted, &to_type(model));
    }
    sheet
}

/// What is to be typed while nothing was yet: the field may still be another than the gauge's.
fn to_type(model: &Model) -> String {
    let gauge = "the gauge now and then, and Enter: the fall is drawn through it.";
    match model.asked().filter(|_| !model.takes_samples()) {
        Some(asked) => {
            let ask = asked.prompt.ask.trim_end_matches(['.', ':']);
            format!("The clock runs. First: {ask}. Then {gauge}")
        }
        None => format!("Type {gauge}"),
    }
}

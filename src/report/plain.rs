//! Numbers and terms in words that a car's owner understands.

use crate::engine::shown::about;
use crate::flow::choice::unit_of;
use crate::flow::model::Flow;
use crate::flow::values::Value;
use crate::flow::working::Picture;
use crate::physics::orifice::diameter;
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Unit};

/// What a kind of number tells, in a sentence or two; nothing where its name says it all. A calculation can have other
/// results beside the one that it is known for: another `result`, or one in another `unit`.
pub fn gloss(calculation: &str, result: &str, unit: Option<Unit>) -> Option<&'static str> {
    let is_size = matches!(
        unit.map(Unit::dimension),
        Some(Dimension::Length | Dimension::Area)
    );
    Some(match calculation {
        "trim-total" => {
            "How much fuel the car's computer has to add (above 0) or take away (below 0) so that the \
             mixture is right. Near 0 is as it should be."
        }
        "hole" => {
            "All openings that gas can pass, as the width of one round hole. Every engine passes \
             some; less is tighter."
        }
        "found" | "decay" if is_size => "The leak, as the width or area of one round hole.",
        "raised-idle" if result == "closed-by" => {
            "How far idle control has closed because air comes in elsewhere. Near 0 is as it should \
             be."
        }
        "raised-idle" if result == "left" => {
            "How far idle control can still close before it stands at its stop."
        }
        "share" => {
            "How much of the complaint the leak accounts for; 100 % is all of it. More than that means \
             that the leak is larger than the trouble needs: the two are measured in different ways."
        }
        _ => return None,
    })
}

/// A worked value in plain words; nothing where it is not known or not asked on this car.
pub fn value(flow: &Flow, id: &str, picture: &Picture) -> Option<String> {
    match picture.values.get(id)? {
        Value::Number(estimate) => {
            let shown = about(estimate, unit_of(flow, id));
            let more = flow.is_share(id) && estimate.value > 1.0;
            Some(if more {
                format!("{shown}, which is more than the trouble needs")
            } else {
                shown
            })
        }
        _ => crate::rules::suggest::value(flow, id, picture),
    }
}

/// A hole's size as the diameter of a round one: nobody pictures an area.
pub fn hole(flow: &Flow, id: &str, picture: &Picture) -> Option<String> {
    let unit = unit_of(flow, id)?;
    let Value::Number(size) = picture.values.get(id)? else {
        return value(flow, id, picture);
    };
    if unit.dimension() != Dimension::Area {
        return value(flow, id, picture);
    }
    // Where the flow works out the width as well, that is the figure that stands on every other page.
    if let Some(width) = width_beside(flow, id)
        && let Some(Value::Number(_)) = picture.values.get(width)
    {
        return value(flow, width, picture);
    }
    let across = Estimate {
        value: diameter(size.value),
        low: diameter(size.low),
        high: diameter(size.high),
    };
    Some(about(&across, Some(Unit::default_for(Dimension::Length))))
}

/// The worked value that is the width of the same opening as this area.
fn width_beside<'f>(flow: &'f Flow, id: &str) -> Option<&'f str> {
    let area = flow.work(id)?;
    let of_it = |work: &&crate::flow::model::Work| {
        work.calculation.name == area.calculation.name
            && work.inputs == area.inputs
            && work.unit.map(Unit::dimension) == Some(Dimension::Length)
    };
    let width = flow.worked.iter().find(of_it)?;
    Some(&width.id)
}

//! What an act of the walk is on the car besides.

use std::fmt::Write as _;

use super::ends::stop;
use super::{Did, opening, part_words};
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::What;
use crate::engine::practised::Practised;
use crate::engine::standing::{Desk, RepairStage, Standing};
use crate::flow::answer::Answer;
use crate::practice::bay::Bay;
use crate::practice::session::Session;

/// What an act of the walk is on the car besides; nothing for most. Something unsafe in it stops the exercise: a part
/// repaired under pressure, the engine run with the supply connected. What the customer says is talk, and does nothing
/// to the car.
pub fn besides(session: &Session, desk: Desk, action: &Action) -> Option<Did> {
    let works = matches!(
        session.job.standing(desk),
        Standing::Repair {
            stage: RepairStage::Work(_),
            ..
        }
    );
    let harm = match action {
        Action::Repaired { .. } if works => match session.bay.part_under_pressure() {
            None => return put_together(session, desk, action),
            harm => harm,
        },
        Action::Read { reading, value, .. } if !matches!(value, Answer::CouldNotTell(_)) => {
            session.bay.ran_with_supply(reading)
        }
        Action::ClearLimit => return lets_down(session, desk),
        _ => None,
    };
    Some(stop(session, desk, &[], harm?))
}

/// The pressure let down after a limit was passed: the supply comes off with it, and is set anew before it goes on again.
/// `None` where none is connected, or nothing was passed.
fn lets_down(session: &Session, desk: Desk) -> Option<Did> {
    session.bay.fed()?;
    let mut what = act(&session.job, desk, Action::ClearLimit).ok()?;
    what.push(What::Practised(Practised::SupplyOff));
    Some(Did {
        what,
        sees: let_down_words(&session.bay).to_owned(),
        reads: None,
        harm: None,
    })
}

/// What is said where the pressure was let down after a limit was passed.
pub fn let_down_words(bay: &Bay) -> &'static str {
    if bay.is_pumped() {
        "You let the pressure down with the pump's valve. Pump anew, lower, then read again."
    } else {
        "You let the pressure down and take the supply off. Set it lower, connect it, then read again."
    }
}

/// A repair with what it changes on the car besides: what comes off with a part that was not taken off before, and what
/// is shut as the car is put together. `None` where it changes nothing else.
fn put_together(session: &Session, desk: Desk, action: &Action) -> Option<Did> {
    let Standing::Repair { cause, .. } = session.job.standing(desk) else {
        return None;
    };
    let opened = opening(session, &cause.id);
    let comes_off = matches!(&opened, Practised::PartOpened { off, .. } if !off.is_empty());
    let shuts = session.bay.ports_open();
    if !comes_off && shuts.is_empty() {
        return None;
    }
    let done = act(&session.job, desk, action.clone()).ok()?;
    let mut sees = String::new();
    let mut what = Vec::new();
    if comes_off {
        sees = part_words(&opened);
        what.push(What::Practised(opened));
    }
    for port in shuts {
        let _ = write!(sees, " As the car is put together, this is shut: {port}.");
        what.push(What::Practised(Practised::Closed {
            opening: port.to_owned(),
        }));
    }
    what.extend(done);
    Some(Did {
        what,
        sees: sees.trim_start().to_owned(),
        reads: None,
        harm: None,
    })
}

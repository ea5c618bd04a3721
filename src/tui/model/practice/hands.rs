//! What hands can do on the car that is not there, as a list.
//!
//! What can be done stands in the same place at every step, whatever is done already: a digit means one thing.

use super::AtBay;
use crate::engine::practised::Practised;
use crate::practice::search::Search;
use crate::tui::model::lists::{Item, ListKind, Then};

/// All that can be done.
pub(super) fn hands(bay: &AtBay) -> Vec<Item> {
    let mut all = Vec::new();
    all.extend(looking(bay));
    all.extend(openings(bay));
    all.extend(supply(bay));
    all.extend(covers(bay));
    all.extend(engine(bay));
    let detail = if bay.draught { "1 min" } else { "it is shut" };
    all.push(hand(
        "Shut the door of the bay",
        detail,
        Practised::DoorShut,
    ));
    all.extend(gauges(bay));
    all.extend(clears(bay));
    all.push(Item::new(
        "Read again what came with the car",
        "",
        Then::CameWith,
    ));
    // Last, so that the digits of all others stay as they are.
    all.push(Item::new(
        "Glance round the bay (what runs, is fed, is closed)",
        "",
        Then::Glance,
    ));
    all
}

/// One row each: with a second one the list would not fit on a small screen.
fn row(label: &str, detail: &str) -> String {
    if detail.is_empty() {
        label.to_owned()
    } else {
        format!("{label} ({detail})")
    }
}

fn hand(label: &str, detail: &str, done: Practised) -> Item {
    Item::new(row(label, detail), "", Then::Hand(done))
}

fn list(label: &str, detail: &str, kind: ListKind) -> Item {
    Item::new(row(label, detail), "", Then::List(kind))
}

fn looking(bay: &AtBay) -> Option<Item> {
    let of_flow = || Search::of_flow(bay.session().bay.plan().flow);
    let label = bay.search.or_else(of_flow)?.act();
    Some(if bay.places.is_empty() {
        let (place, seconds) = (String::new(), 0);
        let done = Practised::Looked { place, seconds };
        hand(label, "this step asks for no place", done)
    } else {
        list(label, "place by place", ListKind::LookAt)
    })
}

fn openings(bay: &AtBay) -> Vec<Item> {
    if bay.openings.is_empty() {
        return Vec::new();
    }
    vec![
        list(
            "Close or open",
            "openings of the system, one by one",
            ListKind::Openings,
        ),
        hand(
            "Go round every plug, cap and clamp",
            "2 min",
            Practised::WentRound,
        ),
    ]
}

fn supply(bay: &AtBay) -> Vec<Item> {
    if !bay.supply {
        return Vec::new();
    }
    let pumped = bay.session().bay.is_pumped();
    let (set, off) = match (bay.fed, pumped) {
        (true, _) => ("it is connected; set it anew", ""),
        (false, true) => ("the pressure is yours to choose", "it is not pumped up"),
        (false, false) => ("gas and pressure are yours to choose", "none is connected"),
    };
    let (connect, take_off) = if pumped {
        (
            "Fit the hand pump and pump",
            "Let the pressure down, pump off",
        )
    } else {
        ("Connect the supply", "Take the supply off")
    };
    vec![
        Item::new(row(connect, set), "", Then::Supply),
        hand(take_off, off, Practised::SupplyOff),
    ]
}

fn covers(bay: &AtBay) -> Vec<Item> {
    if bay.covers.is_empty() {
        return Vec::new();
    }
    let detail = "half a minute";
    let covers = if bay.session().bay.tries().is_some() {
        "each is watched on the running engine, and freed again"
    } else {
        detail
    };
    vec![
        list("Cover a place", covers, ListKind::CoverAt),
        hand("Take all covers off", detail, Practised::Uncovered),
    ]
}

fn engine(bay: &AtBay) -> Vec<Item> {
    if !bay.session().bay.has_engine() {
        return Vec::new();
    }
    let cools = if bay.session().bay.cools_within_step() {
        "part of this step's minutes"
    } else {
        "30 min, if it is warm"
    };
    vec![
        hand(
            "Run the engine until it is warm",
            "10 min, if it is cold",
            Practised::Warmed,
        ),
        hand("Let it cool", cools, Practised::Cooled),
    ]
}

fn clears(bay: &AtBay) -> Option<Item> {
    let bay = &bay.session().bay;
    let detail = if bay.clears_within_step() {
        "part of this step's minutes"
    } else {
        "1 min; freeze frame, readiness and trims go with them"
    };
    bay.has_engine()
        .then(|| hand("Clear the codes", detail, Practised::CodesCleared))
}

fn gauges(bay: &AtBay) -> Vec<Item> {
    if bay.gauges.is_empty() {
        return Vec::new();
    }
    vec![
        hand(
            "Look at the ranges of the gauges",
            "1 min",
            Practised::GaugesSeen,
        ),
        list(
            "Set a gauge to the range that fits",
            "1 min",
            ListKind::Gauges,
        ),
    ]
}

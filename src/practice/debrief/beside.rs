//! Ways laid side by side, step by step.

use serde::Serialize;

use crate::practice::log::{BY_HAND, Spent};

/// Ways side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Beside {
    /// Whose ways they are.
    pub ways: Vec<String>,
    /// The stations; each once a test, its minutes added up.
    pub rows: Vec<Row>,
    /// Minutes in all, way by way.
    pub minutes: Vec<f64>,
    /// What they went into, way by way.
    pub costs: Vec<Cost>,
}

/// What the minutes of a way went into.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Cost {
    /// Setting up, reading, looking.
    pub tests: f64,
    /// Repairs of what was hidden.
    pub repairs: f64,
    /// Repairs of what was sound, or once more.
    pub for_nothing: f64,
}

/// What a station is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A step.
    Test,
    /// A repair of what is hidden on the car.
    Needed,
    /// A repair of anything else.
    NotNeeded,
}

impl Cost {
    fn of(spent: &[Spent], kind: &dyn Fn(&str) -> Kind) -> Self {
        let mut cost = Self::default();
        let mut done: Vec<(&str, u32)> = Vec::new();
        for station in spent {
            // A part that was opened, put back and repaired later in the same test was repaired once.
            let mut before = done.iter().filter(|(id, _)| *id == station.id);
            let again = before.any(|(_, test)| *test != station.test);
            let part = match kind(&station.id) {
                Kind::Test => &mut cost.tests,
                Kind::Needed if !again => &mut cost.repairs,
                Kind::Needed | Kind::NotNeeded => &mut cost.for_nothing,
            };
            *part += station.minutes;
            done.push((&station.id, station.test));
        }
        cost
    }
}

/// One station.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Row {
    /// The number of the test.
    pub test: u32,
    /// In words.
    pub what: String,
    /// Minutes, way by way; absent where the way did not come by.
    pub minutes: Vec<Option<f64>>,
    #[serde(skip)]
    id: String,
}

impl Row {
    fn of(station: &Spent, ways: usize) -> Self {
        Self {
            test: station.test,
            what: station.what.clone(),
            minutes: vec![None; ways],
            id: station.id.clone(),
        }
    }
}

fn is_by_hand(station: &Spent) -> bool {
    station.id == BY_HAND.0
}

/// Lays ways side by side: the first one's order counts, and what only others have stands behind what they had
/// before it. What hands did beside the steps stands behind the last of each test.
pub fn beside(ways: &[(&str, &[Spent])], kind: &dyn Fn(&str) -> Kind) -> Beside {
    let mut rows: Vec<Row> = Vec::new();
    for (n, (_, spent)) in ways.iter().enumerate() {
        let mut after = 0;
        for station in spent.iter().filter(|station| !is_by_hand(station)) {
            let same = |row: &Row| row.id == station.id && row.test == station.test;
            let place = rows.iter().position(same).unwrap_or_else(|| {
                let first = rows
                    .iter()
                    .take_while(|row| row.test < station.test)
                    .count();
                let last = rows
                    .iter()
                    .take_while(|row| row.test <= station.test)
                    .count();
                // The first way's own order stands, where it went back as well.
                let at = if n == 0 {
                    last
                } else {
                    after.clamp(first, last)
                };
                rows.insert(at, Row::of(station, ways.len()));
                at
            });
            *rows[place].minutes[n].get_or_insert(0.0) += station.minutes;
            after = place + 1;
        }
    }
    for (n, (_, spent)) in ways.iter().enumerate() {
        for station in spent.iter().filter(|station| is_by_hand(station)) {
            let same = |row: &Row| row.id == station.id && row.test == station.test;
            let place = rows.iter().position(same).unwrap_or_else(|| {
                let tests = rows.iter().take_while(|row| row.test <= station.test);
                let last = tests.count();
                rows.insert(last, Row::of(station, ways.len()));
                last
            });
            *rows[place].minutes[n].get_or_insert(0.0) += station.minutes;
        }
    }
    let sum = |spent: &[Spent]| spent.iter().map(|s| s.minutes).sum::<f64>() + 0.0;
    Beside {
        ways: ways.iter().map(|(name, _)| (*name).to_owned()).collect(),
        minutes: ways.iter().map(|(_, spent)| sum(spent)).collect(),
        costs: ways
            .iter()
            .map(|(_, spent)| Cost::of(spent, kind))
            .collect(),
        rows,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spent(id: &str, test: u32, minutes: f64) -> Spent {
        Spent {
            id: id.to_owned(),
            what: id.to_owned(),
            test,
            minutes,
        }
    }

    #[test]
    fn the_first_way_stands_in_the_order_in_which_it_was_done() {
        let own = [
            spent("a", 1, 1.0),
            spent("b", 1, 1.0),
            spent("a", 1, 1.0),
            spent("c", 1, 1.0),
        ];
        let laid = beside(&[("you", &own)], &|_| Kind::Test);
        let rows: Vec<&str> = laid.rows.iter().map(|row| row.what.as_str()).collect();
        assert_eq!(rows, ["a", "b", "c"]);
    }

    #[test]
    fn what_only_one_way_has_stands_where_it_was_done() {
        let own = [
            spent("a", 1, 1.0),
            spent("c", 1, 2.0),
            spent("a", 1, 1.0),
            spent("a", 2, 3.0),
        ];
        let other = [spent("a", 1, 1.0), spent("b", 1, 5.0), spent("c", 1, 2.0)];
        let kind = |id: &str| match id {
            "c" => Kind::Needed,
            "b" => Kind::NotNeeded,
            _ => Kind::Test,
        };
        let laid = beside(&[("you", &own), ("flow", &other)], &kind);
        let rows: Vec<(&str, u32, Option<f64>, Option<f64>)> = laid
            .rows
            .iter()
            .map(|r| (r.what.as_str(), r.test, r.minutes[0], r.minutes[1]))
            .collect();
        assert_eq!(
            rows,
            [
                ("a", 1, Some(2.0), Some(1.0)),
                ("b", 1, None, Some(5.0)),
                ("c", 1, Some(2.0), Some(2.0)),
                ("a", 2, Some(3.0), None),
            ]
        );
        assert_eq!(laid.minutes, [7.0, 8.0]);
        let costs = laid.costs.iter();
        let costs: Vec<[f64; 3]> = costs.map(|c| [c.tests, c.repairs, c.for_nothing]).collect();
        assert_eq!(costs, [[5.0, 2.0, 0.0], [1.0, 2.0, 5.0]]);
    }
}

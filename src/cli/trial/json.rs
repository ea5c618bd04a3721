//! The sums as one object. Keys are only ever added.

use serde_json::{Value, json};

use crate::cli::clean_json;
use crate::trial::calibration::Calibration;
use crate::trial::fleet::{Trial, World};
use crate::trial::sums::{Sums, Tally, Whole};

pub(super) fn print(trial: &Trial, sums: &[Sums]) -> String {
    let worlds: Vec<Value> = sums.iter().map(|sums| world(trial, sums)).collect();
    let object = json!({
        "flow": trial.plan.flow.id,
        "revision": trial.plan.flow.revision,
        "runs": trial.settings.runs,
        "seed": trial.settings.seed,
        "together": trial.settings.together,
        "reasoning_cars": trial.settings.cars,
        "cars": worlds,
    });
    let text = serde_json::to_string_pretty(&object).unwrap_or_else(|_| "{}".to_owned());
    clean_json(&text) + "\n"
}

fn world(trial: &Trial, sums: &Sums) -> Value {
    let rows: Vec<Value> = trial
        .rows
        .iter()
        .zip(&sums.rows)
        .map(|(row, ways)| {
            json!({
                "causes": row.causes,
                "weight": row.weight,
                "branches": tally(&ways.branches),
                "evidence": tally(&ways.evidence),
                "random": tally(&ways.random),
                "untested": tally(&ways.untested),
            })
        })
        .collect();
    let ways = &sums.whole;
    json!({
        "kind": match sums.world {
            World::Expected => "expected",
            World::Unexpected => "unexpected",
        },
        "causes": rows,
        "whole": {
            "branches": whole(&ways.branches),
            "evidence": whole(&ways.evidence),
            "random": whole(&ways.random),
            "untested": whole(&ways.untested),
            "evidence_to_branches": ways.evidence.minutes / ways.branches.minutes,
        },
        "calibration": calibration(&sums.calibration),
        "brier": sums.calibration.brier,
    })
}

fn tally(tally: &Tally) -> Value {
    json!({
        "cars": tally.cars,
        "found": tally.found,
        "wrong_repairs": tally.wrong,
        "falsely_sure": tally.falsely_sure,
        "proved_wrongly": tally.proved_wrongly,
        "minutes": tally.each(tally.minutes),
        "minutes_at_the_car": tally.each(tally.spent),
        "steps": tally.each(f64::from(tally.steps)),
        "cautions": tally.each(f64::from(tally.cautions)),
        "lost": tally.lost,
    })
}

fn whole(whole: &Whole) -> Value {
    json!({
        "minutes": whole.minutes,
        "found": whole.found,
        "wrong_repairs": whole.wrong,
        "falsely_sure": whole.falsely_sure,
        "steps": whole.steps,
        "cautions": whole.cautions,
    })
}

fn calibration(table: &Calibration) -> Vec<Value> {
    table
        .bins
        .iter()
        .enumerate()
        .map(|(n, bin)| {
            json!({
                "from": 0.1 * n as f64,
                "cars": bin.cars,
                "sure": bin.sure,
                "right": bin.right,
            })
        })
        .collect()
}

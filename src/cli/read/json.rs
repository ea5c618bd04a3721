//! What a file holds, as one JSON object for programs. Numbers are in SI units.

use serde_json::{Map, Value, json};

use super::job::Filled;
use super::text::unit;
use crate::cli::calc::Captured;
use crate::engine::shown;
use crate::import::fill::Z95;
use crate::import::look::{Known, Mapped};
use crate::import::moments::Summary;
use crate::import::put::Asked;
use crate::import::steady::Window;
use crate::import::{Channel, Import, Look};

/// Everything about a file.
pub(super) fn file(
    name: &str,
    read: &Import,
    worked: Option<&Captured>,
    filled: Option<&Filled>,
) -> Value {
    let mut object = match read {
        Import::Log(log) => json!({
            "kind": "log",
            "hash": log.hash,
            "rows": log.rows,
            "short-rows": log.flaws.short.map_or(0, |short| short.0),
            "cut-line": log.flaws.cut,
            "cells-left-out": log.flaws.unreadable.as_ref().map_or(0, |cells| cells.0),
            "windows": log.windows.iter().map(window).collect::<Vec<_>>(),
            "not-counted": {
                "cold": log.tally.cold,
                "open-loop": log.tally.open,
                "moving": log.tally.moving,
                "purge-open": log.tally.purging,
                "other-speed": log.tally.elsewhere,
                "impossible": log.tally.impossible,
                "timeless": log.tally.timeless,
            },
            "look": look(&log.look),
        }),
        Import::Capture(capture) => json!({
            "kind": "capture",
            "hash": capture.hash,
            "points": capture.points.len(),
            "lines": capture.rows,
            "short-rows": capture.flaws.short.map_or(0, |short| short.0),
            "cut-line": capture.flaws.cut,
            "cells-left-out": capture.flaws.unreadable.as_ref().map_or(0, |cells| cells.0),
            "look": look(&capture.look),
        }),
    };
    object["file"] = json!(name);
    if let Some(worked) = worked {
        object["worked"] = worked.json();
    }
    if let Some(filled) = filled {
        object["filled"] = self::filled(filled);
    }
    object
}

fn look(look: &Look) -> Value {
    let dialect = &look.dialect;
    json!({
        "separator": dialect.separator.word(),
        "decimal": dialect.decimal.word(),
        "encoding": dialect.encoding.to_string(),
        "byte-order-mark": dialect.byte_order_mark,
        "names-line": dialect.names_line,
        "units-line": dialect.units_line,
        "first-line": dialect.first_line,
        "mapping-lacks": look.mapping_lacks,
        "columns": look.columns.iter().map(column).collect::<Vec<_>>(),
    })
}

fn column(mapped: &Mapped) -> Value {
    json!({
        "name": mapped.column.name,
        "holds": mapped.holds.map(Channel::word),
        "unit": mapped.unit.map(crate::units::Unit::name),
        "known": match mapped.known {
            Known::Told => "told",
            Known::Mapping => "mapping",
            Known::Guessed(_) => "guessed",
            Known::Not | Known::Double(_) => "not",
        },
    })
}

fn window(window: &Window) -> Value {
    let values: Map<String, Value> = window
        .values
        .iter()
        .map(|(channel, summary)| (channel.word().replace(' ', "-"), value(*channel, summary)))
        .collect();
    json!({
        "kind": window.kind.word(),
        "lines": window.rows,
        "seconds": window.length(),
        "values": values,
        "warmth-known": !window.warmth_unknown,
        "loop-known": !window.loop_unknown,
        "dead": window.dead().map(Channel::word).collect::<Vec<_>>(),
    })
}

fn value(channel: Channel, summary: &Summary) -> Value {
    let half = Z95 * summary.standard_error;
    json!({
        "si": summary.mean,
        "low": summary.mean - half,
        "high": summary.mean + half,
        "deviation": summary.deviation,
        "values": summary.count,
        "unit": unit(channel).name(),
        "shown": unit(channel).show(summary.mean),
    })
}

fn filled(filled: &Filled) -> Value {
    let readings = filled.put.filled.iter().map(|(reading, asked)| {
        json!({
            "reading": reading.reading,
            "value": shown::answer(&reading.value),
            "lines": reading.rows,
            "later": *asked == Asked::Later,
        })
    });
    let left = filled
        .put
        .left_out
        .iter()
        .map(|left| json!({"reading": left.reading, "why": left.why}));
    json!({
        "job": filled.job,
        "notes": filled.put.notes,
        "readings": readings.collect::<Vec<_>>(),
        "left-out": left.collect::<Vec<_>>(),
    })
}

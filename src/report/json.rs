//! The report as one JSON object, for other programs of the workshop.
//!
//! | key | what it holds |
//! | --- | --- |
//! | `format`, `version` | `"ruleout-report"` and the version of this layout; keys are only ever added within a version |
//! | `edition` | `customer`, `workshop`, `parts` or `label` |
//! | `practice` | true for an exercise: there is no such car |
//! | `made` | `at` (RFC 3339), `by` (program and version) |
//! | `workshop`, `reached` | its name, or null; `telephone`, `hours`, as it wrote them, or empty |
//! | `job` | `name`, `opened`, `handed-over` (RFC 3339, or null), `technicians` |
//! | `vehicle` | `plate`, `model`, `vin`, `odometer`, as noted |
//! | `complaint` | `words`, `symptoms`, `codes`, `stored`, `pending`, `freeze-frame`, `readiness` |
//! | `result` | `standing` (a fixed word), `words`, `more` |
//! | `values` | worked values that a step showed: `id`, `name`, `flow`, `test`, `by` (calculation and version), `unit`, `value`, `low`, `high` (95 % interval, null where nothing bounds it), `shown` |
//! | `readings` | as read: `id`, `ask`, `flow`, `test`, `shown`, `at`, `who`, `before` (values that were corrected) |
//! | `repairs` | `cause`, `name`, `flow`, `test`, `approved`, `declined`, `work`, `retest` |
//! | `open` | what was not tested, could not be told or is undecided: `what`, `words` |
//! | `sections` | the page of this edition, as its writers see it: `title`, `blocks`; a chart brings its points and lines in the units of its axes |
//! | `events` | the workshop edition only: `number`, `at`, `who`, `words` |
//!
//! `standing` is one of `nothing-tested`, `declined`, `repaired-not-proved`, `proved`, `proved-in-the-workshop`,
//! `passed-cause-not-proved`, `repaired-not-cured`, `complaint-gone`, `not-found`, `repaired-nothing-more-found`,
//! `repaired-codes-came-back`,
//! `taken-up-again`, `next-test-due`, `left`,
//! `answer-awaited`, `under-way`. Texts that people typed come as they typed them, without characters that cannot
//! be seen. Times are UTC.

use chrono::{DateTime, SecondsFormat, Utc};
use serde_json::{Value as Json, json};

use super::case::Case;
use super::chart::Figure;
use super::complaint::technicians;
use super::edition::Edition;
use super::page::{Block, Item, Page, Table, Tone};
use super::result::Standing;
use super::text::lines;
use super::{customer, mended};
use crate::engine::event::What;
use crate::engine::{shown, words};
use crate::flow::choice::{name, unit_of};
use crate::flow::values::Value;

/// The version of the layout.
pub const VERSION: u32 = 1;

/// The object, ready to be printed.
pub fn object(case: &Case, page: &Page) -> Json {
    let job = case.job;
    let opening = job.opening.clone().unwrap_or_default();
    let codes = job.codes.clone().unwrap_or_default();
    let standing = Standing::of(job);
    let (said, more) = match page.edition {
        Edition::Customer => standing.plainly(),
        _ => standing.words(),
    };
    let handed_over = case
        .events
        .iter()
        .rfind(|e| matches!(e.what, What::Handover { .. }) && job.handed_over.is_some())
        .map(|e| time(e.at));
    let mut out = json!({
        "format": "ruleout-report",
        "version": VERSION,
        "edition": page.edition.word(),
        "practice": case.is_practice(),
        "made": {
            "at": time(case.made.at.to_utc()),
            "by": format!("ruleout {}", env!("CARGO_PKG_VERSION")),
        },
        "workshop": case.made.workshop,
        "reached": {
            "telephone": case.made.reached.telephone,
            "hours": case.made.reached.hours,
        },
        "job": {
            "name": case.made.job,
            "opened": job.opened.map(time),
            "handed-over": handed_over,
            "note": job.handed_over,
            "technicians": technicians(case.events),
        },
        "vehicle": {
            "plate": opening.vehicle.plate,
            "model": opening.vehicle.model,
            "vin": opening.vehicle.vin,
            "odometer": opening.vehicle.odometer,
        },
        "complaint": {
            "words": opening.complaint,
            "symptoms": opening.symptoms,
            "codes": opening.codes,
            "stored": codes.stored,
            "pending": codes.pending,
            "freeze-frame": codes.freeze_frame,
            "readiness": codes.readiness,
        },
        "result": { "standing": standing.word(), "words": said, "more": more },
        "values": values(case),
        "readings": readings(case),
        "repairs": repairs(case),
        "open": customer::open_items(case).iter()
            .map(|item| json!({"what": item.head, "words": item.text}))
            .collect::<Vec<_>>(),
        "sections": page.sections.iter().map(|section| json!({
            "title": section.title,
            "blocks": section.blocks.iter().map(block).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    });
    if page.edition == Edition::Workshop
        && let Some(object) = out.as_object_mut()
    {
        object.insert("events".to_owned(), events(case));
    }
    cleaned(out)
}

/// The object as text.
pub fn text(case: &Case, page: &Page) -> String {
    format!("{:#}\n", object(case, page))
}

fn time(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, true)
}

fn values(case: &Case) -> Vec<Json> {
    let mut out: Vec<Json> = Vec::new();
    let finite = |x: f64| x.is_finite().then_some(x);
    for walked in case.walked().filter(|w| w.taken().is_some()) {
        let flow = &walked.run.flow;
        let picture = walked.picture(case);
        for id in &walked.step.show {
            let (Some(work), Some(value)) = (flow.work(id), picture.values.get(id)) else {
                continue;
            };
            let unit = unit_of(flow, id);
            let scale = |si: f64| finite(unit.map_or(si, |unit| unit.from_si(si)));
            let (value, low, high, shown) = match value {
                Value::Number(e) => (
                    json!(scale(e.value)),
                    scale(e.low),
                    scale(e.high),
                    shown::estimate(e, unit),
                ),
                Value::Word(word) => (json!(word), None, None, word.clone()),
                _ => continue,
            };
            // Shown again later in the same test: the later one counts.
            let (flow_id, test) = (&flow.id, walked.visit.test);
            out.retain(|known| {
                known["id"] != json!(id)
                    || known["flow"] != json!(flow_id)
                    || known["test"] != json!(test)
            });
            out.push(json!({
                "id": id,
                "name": name(flow, id),
                "flow": flow_id,
                "test": test,
                "by": format!("{} {}", work.calculation.name, work.calculation.version),
                "unit": unit.map(crate::units::Unit::name),
                "value": value,
                "low": low,
                "high": high,
                "shown": shown,
            }));
        }
    }
    out
}

fn readings(case: &Case) -> Vec<Json> {
    let ask = |id: &str| {
        let prompt = case.job.runs.iter().find_map(|run| run.flow.reading(id));
        prompt.map(|prompt| prompt.ask.clone())
    };
    let row = |taken: &crate::engine::job::Taken| {
        json!({
            "id": taken.reading,
            "ask": ask(&taken.reading),
            "flow": taken.flow,
            "test": taken.test,
            "shown": shown::answer(&taken.value),
            "at": time(taken.at),
            "who": taken.who,
            "before": taken.before.iter().map(|(old, _)| shown::answer(old)).collect::<Vec<_>>(),
        })
    };
    case.job.readings.iter().map(row).collect()
}

fn repairs(case: &Case) -> Vec<Json> {
    let row = |repair: &crate::engine::job::Repair| {
        json!({
            "cause": repair.cause,
            "name": repair.name,
            "flow": repair.flow,
            "test": repair.test,
            "approved": repair.approved,
            "declined": repair.declined,
            "work": repair.done.as_ref().map(|(work, _)| work),
            "retest": repair.done.as_ref().map(|_| mended::retest(case, repair)),
        })
    };
    case.job.repairs.iter().map(row).collect()
}

fn events(case: &Case) -> Json {
    let row = |event: &crate::engine::event::Event| {
        json!({
            "number": event.seq,
            "at": time(event.at),
            "who": event.who,
            "words": words::event(event, case.job),
        })
    };
    case.events.iter().map(row).collect()
}

fn block(block: &Block) -> Json {
    match block {
        Block::Result { tone, words, more } => {
            let tone = match tone {
                Tone::Proved => "proved",
                Tone::Plain => "done",
                Tone::Open => "open",
            };
            json!({"kind": "result", "tone": tone, "words": words, "more": more})
        }
        Block::Heading(words) => json!({"kind": "heading", "words": words}),
        Block::Text(words) => json!({"kind": "text", "words": words}),
        Block::Point(one) => json!({"kind": "point", "item": item(one)}),
        Block::Quote(words) => json!({"kind": "quote", "words": words}),
        Block::List(items) => {
            json!({"kind": "list", "items": items.iter().map(item).collect::<Vec<_>>()})
        }
        Block::Warning(items) => {
            json!({"kind": "warning", "items": items.iter().map(item).collect::<Vec<_>>()})
        }
        Block::Facts(pairs) => json!({
            "kind": "facts",
            "facts": pairs.iter().map(|(n, v)| json!({"name": n, "value": v})).collect::<Vec<_>>(),
        }),
        Block::Table(table) => self::table(table),
        Block::Charts(figures) => json!({
            "kind": "charts",
            "charts": figures.iter().map(figure).collect::<Vec<_>>(),
        }),
    }
}

fn item(item: &Item) -> Json {
    json!({"head": item.head, "text": item.text, "more": item.more})
}

fn table(table: &Table) -> Json {
    json!({
        "kind": "table", "title": table.title, "head": table.head,
        "rows": table.rows, "notes": table.notes,
    })
}

fn figure(figure: &Figure) -> Json {
    let axis = |axis: &super::chart::Axis| json!({"name": axis.name, "unit": axis.unit});
    let (kind, drawn) = match figure {
        Figure::Plot(plot) => (
            "plot",
            json!({
                "x": axis(&plot.x),
                "y": axis(&plot.y),
                "series": plot.series.iter().map(|series| json!({
                    "name": series.name,
                    "points": series.points,
                    "line": series.line,
                })).collect::<Vec<_>>(),
            }),
        ),
        Figure::Bars(bars) => (
            "bars",
            json!({
                "unit": bars.unit,
                "bars": bars.bars.iter().map(|bar| json!({
                    "name": bar.name, "value": bar.value,
                    "interval": bar.interval, "shown": bar.shown,
                })).collect::<Vec<_>>(),
            }),
        ),
    };
    json!({
        "kind": kind, "title": figure.title(), "reading": figure.reading(),
        "about": figure.about(), "drawn": drawn,
    })
}

/// Every text without characters that cannot be seen; line ends stay.
fn cleaned(value: Json) -> Json {
    match value {
        Json::String(text) => Json::String(lines(&text).join("\n")),
        Json::Array(all) => all.into_iter().map(cleaned).collect(),
        Json::Object(all) => all.into_iter().map(|(k, v)| (k, cleaned(v))).collect(),
        other => other,
    }
}

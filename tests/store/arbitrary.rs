//! Arbitrary jobs, with nasty text wherever there is text.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use ruleout::engine::event::{
    Codes, Event, FromFile, Opening, OutcomeTaken, PartWas, Recorded, RecordedValue, Suggested,
    Vehicle, Verdict, What,
};
use ruleout::engine::fitted::Fitted;
use ruleout::engine::weighed::{Chosen, Odds, Way, Weighed};
use ruleout::flow::answer::{Answer, Strength};
use ruleout::flow::target::Target;
use ruleout::units::Quantity;
use uuid::Uuid;

use super::quantity;

/// Text with everything in it that a careless writer of YAML or SQL would harm.
pub fn nasty() -> BoxedStrategy<String> {
    let piece = prop_oneof![
        4 => "[a-z ]{0,8}",
        2 => "\\PC{0,6}",
        1 => any::<char>().prop_map(String::from),
        2 => (0u32..0xA0).prop_map(|c| char::from_u32(c).map(String::from).unwrap_or_default()),
        4 => prop::sample::select(vec![
            "\n", "\n\n", "\r\n", "\r", "\t", " ", "   \n", "\n   ", "\n\t", " \t\n", "# no comment", ": ", " #", "- ", "---", "\n---\n",
            "\n...\n", "|", ">", "'", "\"", "\\", "\\n", "%", "@", "`", "!!str x", "&a", "*a", "{", "}", "[", "]", ",", "? ",
            "<<", "=", "~", "null", "true", "no", "0x1F", "012", "1e3", ".5", "-0", "1_000", "12:30", ".inf", ".nan",
            "2026-03-02", "\0", "\u{7}", "\u{1b}[31m", "\u{7f}", "\u{85}", "\u{a0}", "\u{9b}", "\u{ad}", "\u{200b}", "\u{200d}",
            "\u{202e}", "\u{2028}", "\u{2029}", "\u{feff}", "\u{fffd}", "\u{fffe}", "\u{ffff}", "\u{e000}", "\u{1fffe}", "\u{e0041}",
            "\u{10ffff}", "e\u{301}", "\u{301}", "漢字", "🔧", "ﬁ", "İ", "$HOME", "${X}", "'; DROP TABLE events; --",
        ]).prop_map(String::from),
    ];
    prop_oneof![
        1 => Just(String::new()),
        12 => vec(piece, 0..8).prop_map(|pieces| pieces.concat()),
        // Text such as flows are, with what may go wrong at either end of it.
        3 => ("[\n\t ]{0,3}", vec("( {0,6}[a-z#|:\\-]{1,9}){0,4}[ \t]{0,2}", 1..6), "[\n ]{0,3}")
            .prop_map(|(head, lines, tail)| head + &lines.join("\n") + &tail),
        1 => ("[x\n]", 300usize..3000).prop_map(|(c, count)| c.repeat(count)),
    ]
    .boxed()
}

fn numbers() -> impl Strategy<Value = f64> {
    use prop::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    POSITIVE | NEGATIVE | NORMAL | SUBNORMAL | ZERO
}

fn quantities() -> impl Strategy<Value = Quantity> {
    let unit = prop::sample::select(vec!["kPa", "inH2O", "L/min", "%", "mm", "C", "rpm", "V"]);
    (-1e12..1e12f64, unit).prop_map(|(value, unit)| quantity(&format!("{value} {unit}")))
}

fn answers() -> impl Strategy<Value = Answer> {
    let strength = prop::sample::select(vec![Strength::Wisp, Strength::Steady, Strength::Heavy]);
    prop_oneof![
        quantities().prop_map(Answer::Quantity),
        nasty().prop_map(Answer::Choice),
        btree_map(nasty(), strength, 0..4).prop_map(Answer::Places),
        vec((quantities(), quantities()), 0..4).prop_map(Answer::Pairs),
        nasty().prop_map(Answer::Text),
        nasty().prop_map(Answer::CouldNotTell),
    ]
}

fn targets() -> impl Strategy<Value = Target> {
    prop_oneof![
        nasty().prop_map(Target::Step),
        nasty().prop_map(Target::Repair),
        nasty().prop_map(Target::Flow),
        Just(Target::Done),
    ]
}

pub fn openings() -> impl Strategy<Value = What> {
    let vehicle =
        [nasty(), nasty(), nasty(), nasty()].prop_map(|[plate, model, vin, odometer]| Vehicle {
            plate,
            model,
            vin,
            odometer,
        });
    (
        vehicle,
        nasty(),
        vec(nasty(), 0..3),
        vec(nasty(), 0..3),
        btree_map(nasty(), answers(), 0..3),
        nasty(),
    )
        .prop_map(|(vehicle, complaint, symptoms, codes, facts, bay)| {
            What::JobOpened(Opening {
                vehicle,
                complaint,
                symptoms,
                codes,
                facts,
                bay,
            })
        })
}

fn outcomes() -> impl Strategy<Value = What> {
    let suggested = prop_oneof![
        nasty().prop_map(Suggested::Outcome),
        Just(Suggested::Unsure),
        Just(Suggested::NotValid),
        Just(Suggested::NoMatch)
    ];
    let value = prop_oneof![
        (numbers(), option::of(numbers()), option::of(numbers()))
            .prop_map(|(si, low, high)| RecordedValue::Number { si, low, high }),
        nasty().prop_map(RecordedValue::Words),
    ];
    let recorded =
        (nasty(), value, nasty()).prop_map(|(by, value, shown)| Recorded { by, value, shown });
    let worked = btree_map(nasty(), recorded, 0..3);
    (
        nasty(),
        option::of(nasty()),
        targets(),
        suggested,
        option::of(nasty()),
        vec(nasty(), 0..3),
        worked,
        option::of(weighed()),
    )
        .prop_map(
            |(step, outcome, go, suggested, reason, unread, worked, weighed): (
                _,
                _,
                _,
                _,
                _,
                _,
                BTreeMap<_, _>,
                Option<Weighed>,
            )| {
                What::OutcomeTaken(OutcomeTaken {
                    step,
                    outcome,
                    go,
                    suggested,
                    reason,
                    unread,
                    worked,
                    weighed: weighed.map(Box::new),
                })
            },
        )
}

fn weighed() -> impl Strategy<Value = Weighed> {
    let way = || {
        (nasty(), option::of(targets()), option::of(numbers()))
            .prop_map(|(words, go, minutes)| Way { words, go, minutes })
    };
    let odds = (nasty(), numbers(), numbers()).prop_map(|(cause, present, explains)| Odds {
        cause,
        present,
        explains,
    });
    let taken = prop_oneof![
        Just(Chosen::Flow),
        Just(Chosen::Evidence),
        Just(Chosen::Another)
    ];
    (
        (taken, way(), option::of(way())),
        (nasty(), vec(odds, 0..3), nasty(), any::<u32>()),
        (vec(nasty(), 0..2), vec(nasty(), 0..2)),
    )
        .prop_map(
            |((taken, evidence, flow), (because, odds, by, own_jobs), (not_here, taken_down))| {
                Weighed {
                    taken,
                    evidence,
                    flow,
                    because,
                    odds,
                    by,
                    own_jobs,
                    not_here,
                    taken_down,
                }
            },
        )
}

fn files() -> impl Strategy<Value = FromFile> {
    (nasty(), any::<(u64, u64)>(), nasty()).prop_map(|(name, rows, hash)| FromFile {
        name,
        rows,
        hash,
    })
}

fn readings() -> impl Strategy<Value = What> {
    prop_oneof![
        (
            nasty(),
            answers(),
            any::<bool>(),
            option::of(any::<u64>()),
            option::of(files())
        )
            .prop_map(|(reading, value, confirmed, carried_from, from_file)| {
                What::ReadingTaken {
                    reading,
                    value,
                    confirmed,
                    carried_from,
                    from_file,
                }
            }),
        (any::<u64>(), answers(), nasty()).prop_map(|(taken, value, why)| What::ReadingCorrected {
            taken,
            value,
            why
        }),
        nasty().prop_map(|reading| What::ReadingLeftOut { reading }),
        (nasty(), (quantities(), quantities()), any::<bool>()).prop_map(
            |(reading, pair, confirmed)| What::PairTaken {
                reading,
                pair,
                confirmed
            }
        ),
        any::<u64>().prop_map(|taken| What::PairTakenBack { taken }),
        (nasty(), quantities(), quantities()).prop_map(|(reading, after, value)| {
            What::SampleTaken {
                reading,
                after,
                value,
            }
        }),
        any::<u64>().prop_map(|taken| What::SampleTakenBack { taken }),
        (nasty(), quantities(), quantities()).prop_map(|(reading, value, limit)| {
            What::LimitPassed {
                reading,
                value,
                limit,
            }
        }),
        (nasty(), answers(), any::<bool>()).prop_map(|(fact, value, confirmed)| What::FactNoted {
            fact,
            value,
            confirmed,
            by_settings: false
        }),
        Just(What::LimitCleared),
        Just(What::LimitMistyped),
        Just(What::ClockBegunAgain),
        Just(What::TimedElsewhere),
        Just(What::WaitCutShort {
            left: "40 s".parse().unwrap()
        }),
        Just(What::WentBack),
        Just(What::WentForward),
    ]
}

fn rest() -> impl Strategy<Value = What> {
    let part_was = prop::sample::select(vec![PartWas::Bad, PartWas::Good, PartWas::CouldNotTell]);
    let verdict = prop::sample::select(vec![
        Verdict::Proved,
        Verdict::RuledOut,
        Verdict::LedOn,
        Verdict::Left,
    ]);
    prop_oneof![
        (vec(nasty(), 0..3), vec(nasty(), 0..3), nasty(), nasty()).prop_map(
            |(stored, pending, freeze_frame, readiness)| {
                What::CodesNoted(Codes {
                    stored,
                    pending,
                    freeze_frame,
                    readiness,
                })
            }
        ),
        (nasty(), any::<u32>(), nasty(), nasty()).prop_map(|(flow, revision, hash, text)| {
            What::FlowBegun {
                flow,
                revision,
                hash,
                text,
            }
        }),
        nasty().prop_map(|caution| What::CautionAccepted { caution }),
        (nasty(), nasty()).prop_map(|(place, note)| What::FindingNoted { place, note }),
        (nasty(), targets(), nasty()).prop_map(|(step, go, reason)| What::StepSkipped {
            step,
            go,
            reason
        }),
        (nasty(), nasty()).prop_map(|(cause, by)| What::RepairApproved { cause, by }),
        (nasty(), nasty()).prop_map(|(cause, by)| What::RepairDeclined { cause, by }),
        (
            any::<u64>(),
            nasty(),
            proptest::option::of(part_was.clone()),
            nasty()
        )
            .prop_map(|(noted, words, part_was, why)| What::RepairCorrected {
                noted,
                words,
                part_was,
                why,
            }),
        (nasty(), nasty(), part_was).prop_map(|(cause, work, part_was)| What::RepairDone {
            cause,
            work,
            part_was
        }),
        (nasty(), nasty()).prop_map(|(flow, from)| What::RetestBegun { flow, from }),
        (nasty(), verdict).prop_map(|(flow, result)| What::FlowClosed { flow, result }),
        nasty().prop_map(|opening| What::TakenOff(Fitted::Closed(opening))),
        nasty().prop_map(|supply| What::TakenOff(Fitted::Supply(supply))),
        nasty().prop_map(|words| What::TakenOff(Fitted::PutBack(words))),
        nasty().prop_map(|note| What::Handover { note }),
        nasty().prop_map(|text| What::Remark { text }),
    ]
}

fn times() -> impl Strategy<Value = DateTime<Utc>> {
    // The years 1 to 9999.
    (-62_135_596_800i64..253_402_300_800, 0u32..1_000_000_000)
        .prop_map(|(seconds, nanos)| DateTime::from_timestamp(seconds, nanos).expect("in range"))
}

/// Any job: it is opened, and then anything may happen in any order.
pub fn any_job() -> impl Strategy<Value = Vec<Event>> {
    let corrected = (openings(), nasty()).prop_map(|(opened, why)| match opened {
        What::JobOpened(opening) => What::OpeningCorrected { opening, why },
        other => other,
    });
    let any_what = prop_oneof![outcomes(), readings(), rest(), corrected];
    let stamp = || (any::<u128>(), times(), nasty());
    ((stamp(), openings()), vec((stamp(), any_what), 0..8)).prop_map(|(first, later)| {
        std::iter::once(first)
            .chain(later)
            .zip(1..)
            .map(|(((id, at, who), what), seq)| Event {
                id: Uuid::from_u128(id << 8 | u128::from(seq)),
                seq,
                at,
                who,
                what,
            })
            .collect()
    })
}

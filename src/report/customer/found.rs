//! What was found, where, and the few numbers that the judgement rests on.

use std::rc::Rc;

use super::reason::told;
use crate::engine::hold;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::choice::{name, unit_of};
use crate::flow::model::{Arg, Flow, Phase, Prompt, PromptKind, Work};
use crate::flow::target::Target;
use crate::flow::values::Value;
use crate::flow::working::Picture;
use crate::report::case::{Case, Walked};
use crate::report::chart::AIDS;
use crate::report::mended::came_out;
use crate::report::page::{Block, Item, Section};
use crate::report::plain;
use crate::report::text::{sentence, stopped};

/// Numbers beside one judgement.
const MOST: usize = 2;

/// From this share on it is most of the trouble: a half, by the word.
const MOST_OF_IT: f64 = 0.5;

/// Test by test: places, and what the judgement rests on.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    for test in 1..=case.tests() {
        let mut items = places(case, test);
        items.extend(judged(case, test));
        if items.is_empty() && case.tests() > 1 {
            items.extend(nothing(case, test));
        }
        if !items.is_empty() {
            if case.tests() > 1 {
                blocks.push(Block::Heading(case.test_name(test)));
            }
            blocks.push(Block::List(items));
        }
    }
    let noted: Vec<Item> = case
        .job
        .findings
        .iter()
        .map(|noted| Item {
            head: noted.place.clone(),
            // In the technician's own words, which are not the page's.
            text: format!("The technician noted: {}", stopped(&noted.note)),
            more: Vec::new(),
        })
        .collect();
    if !noted.is_empty() {
        blocks.push(Block::Heading("Noted as well".to_owned()));
        blocks.push(Block::List(noted));
    }
    Section::of("What we found", blocks)
}

/// A test in which nothing was found is said to have been one.
fn nothing(case: &Case, test: u32) -> Option<Item> {
    case.walked().find(|w| w.visit.test == test)?;
    Some(Item {
        text: match came_out(case.job, test).as_str() {
            "passed." => "Nothing was found; the car passed.".to_owned(),
            other => sentence(other),
        },
        ..Item::default()
    })
}

/// Places where something showed in a test.
fn places(case: &Case, test: u32) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for walked in case.walked().filter(|w| w.visit.test == test) {
        for taken in case.job.taken_in(walked.visit.since_seq) {
            let prompt = walked.run.flow.reading(&taken.reading);
            // What is heard, or where water comes in, is chosen from a list with a word for nowhere.
            let looked = |kind: &PromptKind| match (kind, &taken.value) {
                (PromptKind::Places(_), Answer::Places(_)) => true,
                (_, Answer::Choice(_)) => prompt.is_some_and(Prompt::is_search_by_choice),
                _ => false,
            };
            if let Some(prompt) = prompt
                && looked(&prompt.kind)
            {
                // Read again in the same test: the last answer counts.
                items.retain(|item| item.head != prompt.ask);
                items.push(Item {
                    head: prompt.ask.clone(),
                    text: stopped(&sentence(&shown::answer(&taken.value))),
                    more: Vec::new(),
                });
            }
        }
    }
    items
}

/// The judgements of a test that led somewhere, and the last one with numbers before each.
fn judged(case: &Case, test: u32) -> Vec<Item> {
    let mut items = Vec::new();
    let mut before: Option<(Walked, Rc<Picture>)> = None;
    let mut said: Vec<String> = Vec::new();
    for walked in case.walked().filter(|w| w.visit.test == test) {
        let Some(taken) = walked.taken() else {
            continue;
        };
        if walked.step.phase == Phase::Retest {
            continue;
        }
        let picture = walked.picture(case);
        let leads_out = !matches!(taken.go, Target::Step(_));
        let judges = leads_out || walked.step.phase == Phase::Judge;
        let share = share(&walked, &picture, &said).filter(|_| judges);
        let own = !numbers(&walked, &picture, &said).is_empty();
        // A closed space that was held has told something, whatever is searched after it.
        let held = taken.outcome.is_some()
            && walked.step.phase == Phase::Pressurise
            && hold::of_step(&walked.run.flow, walked.step).is_some();
        if share.is_none() && !leads_out && !held {
            if judges && own {
                before = Some((walked, picture));
            }
            continue;
        }
        // A judgement without numbers of its own rests on the one before it, where that one came to something.
        let rests_on = before.take().filter(|_| share.is_none() && !own);
        if let Some((walked, picture)) = rests_on.filter(|(walked, _)| because(walked).is_some()) {
            items.extend(item(&walked, &picture, None, &mut said));
        }
        items.extend(item(&walked, &picture, share, &mut said));
    }
    items
}

fn item(
    walked: &Walked,
    picture: &Picture,
    share: Option<String>,
    said: &mut Vec<String>,
) -> Option<Item> {
    let mut words = Vec::new();
    if let Some(share) = share {
        // It says found, needed and share at once.
        words.push(share);
    } else {
        let numbers = numbers(walked, picture, said);
        if !numbers.is_empty() {
            words.push(format!("{}.", numbers.join("; ")));
        }
    }
    let flow = &walked.run.flow;
    said.extend(
        walked
            .step
            .show
            .iter()
            .map(|id| as_shown(flow, id, picture)),
    );
    if let Some(because) = because(walked) {
        words.push(because);
    }
    (!words.is_empty()).then(|| Item {
        head: walked.step.title.clone(),
        text: words.join(" "),
        more: Vec::new(),
    })
}

/// The author's reason, and the technician's own where it was another.
///
/// What the technician is to do next is left out of it: a number without what it came to tells nobody anything.
fn because(walked: &Walked) -> Option<String> {
    let taken = walked.taken()?;
    let author = match (&taken.go, walked.outcome()) {
        (_, Some(outcome)) => outcome.because.as_str(),
        (Target::Step(_), None) => "",
        (_, None) => walked.of_the_readings().unwrap_or_default(),
    };
    let mut words = told(author);
    if let Some(reason) = &taken.reason {
        if !words.is_empty() {
            words.push(' ');
        }
        words.push_str("The technician decided so: ");
        words.push_str(&stopped(reason));
    }
    (!words.is_empty()).then_some(words)
}

/// "Hole found: about 1.7 mm (1.5 to 1.8 mm)", for what was not said yet; only the first begins a
/// sentence.
fn numbers(walked: &Walked, picture: &Picture, said: &[String]) -> Vec<String> {
    let flow = &walked.run.flow;
    walked
        .step
        .show
        .iter()
        .filter(|id| picture.values.get(id).is_some())
        .filter(|id| !said.contains(&as_shown(flow, id, picture)))
        .take(MOST)
        .filter_map(|id| {
            // What only serves another value, or only says that one lies in its range, is the workshop's.
            let Some(Value::Number(_)) = picture.values.get(id) else {
                return None;
            };
            let aid = |work: &Work| AIDS.contains(&work.calculation.name);
            if flow.work(id).is_some_and(aid) {
                return None;
            }
            let shown = plain::value(flow, id, picture)?;
            Some((name(flow, id), shown))
        })
        .enumerate()
        .map(|(n, (name, shown))| match n {
            0 => format!("{}: {shown}", sentence(&name)),
            _ => format!("{name}: {shown}"),
        })
        .collect()
}

/// A value as it was told: the same value is told once, and another one, of the next place that was covered, anew.
fn as_shown(flow: &Flow, id: &str, picture: &Picture) -> String {
    format!(
        "{id} {}",
        plain::value(flow, id, picture).unwrap_or_default()
    )
}

/// What the leak found is against what the complaint needs, in two sentences.
fn share(walked: &Walked, picture: &Picture, said: &[String]) -> Option<String> {
    let flow = &walked.run.flow;
    let work = walked
        .step
        .show
        .iter()
        .filter_map(|id| flow.work(id))
        .find(|work| work.calculation.name == "share" && work.take == 0)
        .filter(|work| !said.contains(&as_shown(flow, &work.id, picture)))?;
    let of = |inputs: [&str; 2]| {
        let arg = work.inputs.iter().find(|(name, _)| inputs.contains(name));
        match arg {
            Some((_, Arg::Of(id))) => Some((name(flow, id), plain::hole(flow, id, picture)?)),
            _ => None,
        }
    };
    let (found, size) = of(["hole", "hole-area"])?;
    let (_, needed) = of(["needed", "needed-area"])?;
    Some(format!(
        "{}, as the width of one round hole: {size}. To cause the trouble by itself, a hole of \
         {needed} would be needed. {}",
        sentence(&found),
        accounts_for(flow, &work.id, picture)?
    ))
}

/// What a share means. Nothing accounts for more than all of a trouble: there the two sizes, each
/// measured in its own way, are compared instead.
fn accounts_for(flow: &Flow, id: &str, picture: &Picture) -> Option<String> {
    let Some(Value::Number(share)) = picture.values.get(id) else {
        let share = plain::value(flow, id, picture)?;
        return Some(format!("So it accounts for {share} of the trouble."));
    };
    let about = shown::about(share, unit_of(flow, id));
    Some(if share.value > 1.0 {
        format!(
            "So it is enough to cause all of the trouble: its opening is {about} of the one needed. \
             The two are measured in different ways, so they seldom agree better than that."
        )
    } else if share.high > 1.0 {
        // Nothing accounts for 130 % of a trouble: the upper end is all of it.
        let [value, low] = [share.value, share.low].map(|part| (part * 100.0).round());
        let least = if low > 0.0 {
            format!(", at least {low:.0} %")
        } else {
            String::new()
        };
        if share.value >= MOST_OF_IT {
            format!(
                "So it accounts for most or all of the trouble: about {value:.0} % of it{least}."
            )
        } else {
            format!(
                "So it accounts for about {value:.0} % of the trouble{least}; it may be all of it."
            )
        }
    } else {
        format!("So it accounts for {about} of the trouble.")
    })
}

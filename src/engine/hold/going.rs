//! How a hold goes while it runs: the gauge over time, the fall fitted to it, and what it comes to if it goes on so.

use chrono::{DateTime, Utc};

use super::{Hold, input, limit, pressure};
use crate::engine::job::Job;
use crate::engine::judge;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::condition::{Check, Truth};
use crate::flow::model::{Arg, Work};
use crate::flow::values::Value;
use crate::flow::working::{Picture, errors_of};
use crate::physics::calculation::Calculation;
use crate::physics::calculations::curves;
use crate::physics::evaluate::{Bias, Evaluated, InputError, Size, evaluate_biased};
use crate::physics::given::{Given, Value as Input};
use crate::physics::uncertainty::Estimate;

mod projected;

/// A hold as it goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Going {
    /// Gauge values over time, s and Pa, the start first.
    pub points: Vec<(f64, f64)>,
    /// The fall fitted to them, to the end of the hold.
    pub curve: Vec<(f64, f64)>,
    /// What must be left: words, and the line from when to when at which pressure.
    pub lines: Vec<(String, [(f64, f64); 2])>,
    /// What it comes to, name and words, and how firm that is by now.
    pub says: Vec<(String, String, Firm)>,
}

/// How firm what is said of a running hold is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Firm {
    /// It cannot be told yet.
    Open,
    /// It is so by what was read until now, and may turn before the time is up.
    SoFar,
    /// What was read already settles it, however the rest goes: what has fallen does not rise again.
    Settled,
}

impl Hold<'_> {
    /// Gauge values since the clock began, s and Pa, the start first.
    fn points(&self, job: &Job, began: DateTime<Utc>) -> Option<Vec<(f64, f64)>> {
        let visit = job.visit()?.since_seq;
        let start = job.taken_in(visit).filter(|t| t.reading == self.start.id);
        let Answer::Quantity(start) = start.last()?.value else {
            return None;
        };
        let mut points = vec![(0.0, start.si())];
        for sample in job.samples_in(visit, &self.end.id, began) {
            let at = (sample.after.si(), sample.value.si());
            // Two in one second are one: the later.
            if points.last().is_some_and(|last| last.0 < at.0) {
                points.push(at);
            } else if points.len() > 1 {
                points.pop();
                points.push(at);
            }
        }
        Some(points)
    }

    /// How the hold goes, with a clock that began then.
    pub fn going(&self, job: &Job, began: DateTime<Utc>) -> Option<Going> {
        let points = self.points(job, began)?;
        let picture = judge::picture_now(job)?;
        let start = points.first()?.1;
        let mut going = Going {
            lines: self.lines(start, job),
            points,
            ..Going::default()
        };
        if going.points.len() < 2 {
            return Some(going);
        }
        if let Some(work) = self.decay {
            self.by_decay(work, &picture, &mut going);
        }
        if let (Some(work), true) = (self.ratio, start > 0.0) {
            self.by_ratio(work, start, &picture, &mut going);
        }
        if self.space.is_some() {
            self.by_judged(job, &picture, &mut going);
        }
        Some(going)
    }

    /// What must be left, as lines.
    fn lines(&self, start: f64, job: &Job) -> Vec<(String, [(f64, f64); 2])> {
        let mut lines = Vec::new();
        for check in &self.limits {
            let level = limit(check).map(|share| share * start);
            if let Some(level) = level.filter(|_| start > 0.0) {
                let line = [(0.0, level), (self.seconds, level)];
                lines.push((self.check_words(check), line));
            }
        }
        lines.extend(projected::lines(self, job, start));
        if let (true, Some(work)) = (lines.is_empty(), self.decay) {
            let mut given = Given::new();
            Self::constants(work, &Picture::default(), &mut given);
            given.set("volume", Input::Number(1.0));
            let sign = self.sign();
            let rows = [(0.0, start), (self.seconds, start * 0.9)];
            given.set("at", rows_of(&rows, sign));
            if let Ok(Some([_, to, within])) = curves::hold(&given).map(|hold| hold.criterion) {
                let words = format!(
                    "{} must be left",
                    shown::estimate(&Estimate::exact(to), pressure(self.end))
                );
                lines.push((words, [(0.0, to), (within, to)]));
            }
        }
        lines
    }

    /// A check on the share that is kept, in words.
    fn check_words(&self, check: &Check) -> String {
        let name = self.ratio.map_or("it", |work| work.name.as_str());
        format!("{name} {}", check.english())
    }

    /// The inputs of a decay but the points, as far as they are known.
    fn constants(work: &Work, picture: &Picture, given: &mut Given) {
        for (name, arg) in work.inputs.iter().filter(|(name, _)| *name != "at") {
            let value = match arg {
                Arg::Constant(quantity) => Some(Input::Number(quantity.si())),
                Arg::Word(word) => Some(
                    word.parse()
                        .map_or_else(|_| Input::Word(word.clone()), Input::Number),
                ),
                Arg::Of(id) => match picture.values.get(id) {
                    Some(Value::Number(estimate)) => Some(Input::Number(estimate.value)),
                    Some(Value::Word(word)) => Some(Input::Word(word.clone())),
                    _ => None,
                },
                _ => None,
            };
            if let Some(value) = value {
                given.set(name, value);
            }
        }
    }

    fn by_decay(&self, work: &Work, picture: &Picture, going: &mut Going) {
        let mut given = Given::new();
        Self::constants(work, picture, &mut given);
        let sign = self.sign();
        given.set("at", rows_of(&going.points, sign));
        let volume = Self::volume(work, picture);
        if volume.is_none() {
            given.set("volume", Input::Number(1.0));
        }
        self.draw(&given, going);
        let errors = self.errors(volume.unwrap_or(0.0), going);
        let Ok(all) = evaluate_biased(work.calculation, &given, &errors.0, &errors.1) else {
            return;
        };
        // What stands below all that must be left at the end cannot pass any more.
        let must = curves::hold(&given).ok().and_then(|hold| hold.criterion);
        let last = going.points.last().map_or(f64::INFINITY, |at| sign * at.1);
        let below = must.is_some_and(|[_, to, _]| last + self.own_error(going) < to);
        let same = |other: &&Work| other.calculation.name == "decay" && other.inputs == work.inputs;
        for other in self.flow.worked.iter().filter(same) {
            let needs_volume = work
                .calculation
                .outputs
                .get(other.take)
                .is_some_and(|output| {
                    matches!(
                        output.id,
                        "diameter" | "large-leak" | "small-leak" | "leak-rate"
                    )
                });
            if volume.is_none() && needs_volume {
                continue;
            }
            match all.results.get(other.take) {
                Some(Evaluated::Number { estimate, .. }) => {
                    let words = shown::estimate(estimate, other.unit);
                    going.says.push((other.name.clone(), words, Firm::SoFar));
                }
                Some(Evaluated::Text(words)) if words == "cannot tell" => {
                    let words = "cannot tell yet".to_owned();
                    going.says.push((other.name.clone(), words, Firm::Open));
                }
                Some(Evaluated::Text(words)) => {
                    let of = work.calculation.outputs.get(other.take);
                    let by_time = of.is_some_and(|output| output.id == "verdict");
                    let firm = if below && by_time {
                        Firm::Settled
                    } else {
                        Firm::SoFar
                    };
                    going.says.push((other.name.clone(), words.clone(), firm));
                }
                _ => {}
            }
        }
    }

    /// What the share that is kept comes to, if it goes on like this.
    fn by_ratio(&self, work: &Work, start: f64, picture: &Picture, going: &mut Going) {
        let Some(left) = self.left_at_end(picture, going) else {
            return;
        };
        // What is kept of a pressure is never less than nothing, however steep it falls.
        let of_start = |left: &Estimate| {
            let share = Estimate {
                value: left.value / start,
                low: left.low / start,
                high: left.high / start,
            };
            share.at_least(0.0)
        };
        let share = of_start(&left);
        let words = format!(
            "{} if it goes on like this",
            shown::estimate(&share, work.unit)
        );
        going.says.push((work.name.clone(), words, Firm::SoFar));
        let value = Value::Number(share);
        let name = self.ratio.map_or("it", |work| work.name.as_str());
        let ends = Value::Number(of_start(&self.may_be_left(going)));
        let checks = self.limits.iter();
        let said = checks.map(|check| truth(name, check, &value, Some(&ends)));
        going.says.extend(said);
    }

    /// What the gauge will show at the end if it goes on like this, Pa; draws the fall on the way.
    fn left_at_end(&self, picture: &Picture, going: &mut Going) -> Option<Estimate> {
        let decay = crate::physics::find("decay")?;
        let (start, sign) = (going.points.first()?.1, self.sign());
        let mut given = Given::new();
        if let Some(of) = self.decay.or(self.space) {
            Self::constants(of, picture, &mut given);
            given.keep(|name| decay.input(name).is_some());
        }
        given.set("volume", Input::Number(1.0));
        given.set("criterion", Input::Word("own".to_owned()));
        given.set("from", Input::Number(sign * start));
        given.set("to", Input::Number(sign * start / 2.0));
        given.set("within", Input::Number(self.seconds));
        given.set("at", rows_of(&going.points, sign));
        if going.curve.is_empty() {
            self.draw(&given, going);
        }
        let (errors, biases) = self.errors(0.0, going);
        let left = end_pressure(decay, &given, &errors, &biases)?;
        let (low, high) = (sign * left.low, sign * left.high);
        Some(Estimate {
            value: sign * left.value,
            low: low.min(high),
            high: low.max(high),
        })
    }

    /// All that the end can still be, Pa: what was read last, or any less.
    fn may_be_left(&self, going: &Going) -> Estimate {
        let last = going.points.last().map_or(0.0, |at| at.1);
        Estimate {
            value: last / 2.0,
            low: 0.0,
            high: last + self.own_error(going),
        }
    }

    /// Half of what the gauge itself leaves open in one reading, Pa.
    fn own_error(&self, going: &Going) -> f64 {
        errors_of(self.flow, self.end, going.points[0].1).0
    }

    /// What the gauge shows of a vacuum stands below the air around.
    fn sign(&self) -> f64 {
        if self.vacuum { -1.0 } else { 1.0 }
    }

    /// What the worked values that the step judges by come to, if it goes on like this.
    fn by_judged(&self, job: &Job, picture: &Picture, going: &mut Going) {
        let Some(left) = self.left_at_end(picture, going) else {
            return;
        };
        for (work, checks) in &self.judged {
            let Some(value) = projected::value(self, job, work, &left) else {
                // Nothing can be worked out from such an end; the next sample may say otherwise.
                let unknown = Value::Untold;
                let said = checks
                    .iter()
                    .map(|check| truth(&work.name, check, &unknown, None));
                going.says.extend(said);
                continue;
            };
            let words = format!(
                "{} if it goes on like this",
                shown::estimate(&value, work.unit)
            );
            going.says.push((work.name.clone(), words, Firm::SoFar));
            let value = Value::Number(value);
            let ends = projected::value(self, job, work, &self.may_be_left(going));
            let ends = ends.map(Value::Number);
            let checks = checks.iter();
            let said = checks.map(|check| truth(&work.name, check, &value, ends.as_ref()));
            going.says.extend(said);
        }
    }

    /// The fitted fall, to the end of the hold.
    fn draw(&self, given: &Given, going: &mut Going) {
        let mut given = given.clone();
        // The curve is drawn as far as the criterion lasts: to the end of the hold.
        let start = going.points[0].1;
        let sign = self.sign();
        given.set("criterion", Input::Word("own".to_owned()));
        given.set("from", Input::Number(sign * start));
        given.set("to", Input::Number(sign * start / 2.0));
        given.set("within", Input::Number(self.seconds));
        if let Ok(hold) = curves::hold(&given) {
            let drawn = hold.drawn.curve.into_iter();
            going.curve = drawn.map(|(t, p)| (t, sign * p)).collect();
        }
    }

    /// Half the width of the volume's interval; none where it is not known.
    fn volume(work: &Work, picture: &Picture) -> Option<f64> {
        match input(work, "volume")? {
            Arg::Of(id) => match picture.values.get(id)? {
                Value::Number(e) => {
                    Some((e.high - e.low).abs() / 2.0).filter(|half| half.is_finite())
                }
                _ => None,
            },
            _ => Some(0.0),
        }
    }

    /// The errors of the gauge, each reading's own and the one that all share, and of the volume.
    fn errors(&self, volume: f64, going: &Going) -> (Vec<InputError>, Vec<Bias>) {
        let start = going.points[0].1;
        let (own, shared) = errors_of(self.flow, self.end, start);
        let mut errors = vec![InputError {
            input: "at".to_owned(),
            column: 1,
            size: Size::Absolute(own),
        }];
        if volume > 0.0 {
            errors.push(InputError {
                input: "volume".to_owned(),
                column: 0,
                size: Size::Absolute(volume),
            });
        }
        let bias = Bias {
            readings: vec![("at".to_owned(), 1)],
            size: Size::Absolute(shared),
        };
        (errors, vec![bias])
    }
}

/// A check in words, what it comes to, and how firm that is: settled where it is the same for all that the end can
/// still be. Of two limits that meet in one value each is said.
fn truth(name: &str, check: &Check, value: &Value, ends: Option<&Value>) -> (String, String, Firm) {
    let (name, now) = (format!("{name} {}", check.english()), check.truth(value));
    let words = match now {
        Truth::Yes => "yes",
        Truth::No => "no",
        _ => return (name, "cannot tell yet".to_owned(), Firm::Open),
    };
    let settled = ends.is_some_and(|ends| check.truth(ends) == now);
    let firm = if settled { Firm::Settled } else { Firm::SoFar };
    (name, words.to_owned(), firm)
}

fn end_pressure(
    decay: &Calculation,
    given: &Given,
    errors: &[InputError],
    biases: &[Bias],
) -> Option<Estimate> {
    let (place, _) = decay.output("end-pressure")?;
    let all = evaluate_biased(decay, given, errors, biases).ok()?;
    match all.results.get(place)? {
        Evaluated::Number { estimate, .. } => Some(*estimate),
        _ => None,
    }
}

fn rows_of(points: &[(f64, f64)], sign: f64) -> Input {
    let row = |(t, p): &(f64, f64)| vec![Some(*t), Some(sign * p), None];
    Input::Points(points.iter().map(row).collect())
}

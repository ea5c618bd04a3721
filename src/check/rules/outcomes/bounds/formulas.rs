//! Bounds by interval arithmetic over the formula itself, where corners alone give none: because an
//! input stands on both sides of a difference, or outweighs another.
//!
//! Each part of a formula that rises or falls with its inputs all the way is bounded in its own
//! corners, and the parts are put together as intervals. What two parts share (the barometer, above
//! all) is let go its own way in each, so the bounds may be wider than what can be; never narrower.
//! Only for two points: of more a line is fitted.

use super::{Bound, Span, Spans, Told, span_of};
use crate::flow::model::{Arg, Work};
use crate::physics::calculation::{Answer, Seen};
use crate::physics::calculations::{CANNOT_TELL, GAINS, IDLE_MANIFOLD, USUAL_CRITERION};
use crate::physics::decay::Space;
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::given::{Given, Value as Input};
use crate::physics::orifice::{self, Coefficient};
use crate::physics::uncertainty::Estimate;

/// The temperature at which fluxes are worked: they go with its root, which is put in apart.
const REFERENCE: f64 = ROOM;

pub(super) fn bound(work: &Work, told: &Told, spans: &Spans) -> Option<Bound> {
    let read = Read { work, told, spans };
    match work.calculation.name {
        "found" => found(&read),
        "decay" => decay(&read),
        "volume" => volume(&read),
        "trims" => trims(&read),
        _ => None,
    }
}

/// What the inputs of a worked value can be.
struct Read<'r> {
    work: &'r Work,
    told: &'r Told<'r>,
    spans: &'r Spans,
}

impl Read<'_> {
    fn arg(&self, name: &str) -> Option<&Arg> {
        let is_there = |arg: &&Arg| match arg {
            Arg::Of(id) => !self.told.absent.contains(id.as_str()),
            _ => true,
        };
        let mut inputs = self.work.inputs.iter();
        inputs
            .find(|(input, _)| *input == name)
            .map(|(_, arg)| arg)
            .filter(is_there)
    }

    /// A number; nothing where it is not bounded.
    fn number(&self, name: &str) -> Option<Span> {
        match self.arg(name)? {
            Arg::Word(word) => word.parse().ok().map(|number| (number, number)),
            arg => span_of(arg, self.spans),
        }
    }

    /// The same, with the value that is taken where it is left out.
    fn number_or(&self, name: &str, otherwise: f64) -> Option<Span> {
        match self.arg(name) {
            None => Some((otherwise, otherwise)),
            Some(_) => self.number(name),
        }
    }

    /// The inputs that are words; nothing where one is not settled.
    fn words(&self) -> Option<Given> {
        let mut given = Given::new();
        for name in ["gas", "coefficient", "criterion"] {
            match self.arg(name) {
                None => {}
                Some(Arg::Word(word)) => {
                    let number = word.parse().map(Input::Number);
                    given.set(name, number.unwrap_or_else(|_| Input::Word(word.clone())));
                }
                Some(Arg::Of(id)) => {
                    given.set(name, Input::Word(self.told.words.get(id.as_str())?.clone()));
                }
                Some(_) => return None,
            }
        }
        Some(given)
    }

    fn gas(&self) -> Option<(Gas, Coefficient)> {
        let words = self.words()?;
        let gas = Gas::named(words.word("gas", "air"))?;
        Some((gas, words.coefficient("coefficient").ok()?))
    }

    /// The two points of an input, column by column; nothing where there are more.
    fn two_points(&self, name: &str) -> Option<[Vec<Option<Span>>; 2]> {
        let Arg::Rows(rows) = self.arg(name)? else {
            return None;
        };
        let cell = |cell: &Option<Arg>| match cell {
            None => Some(None),
            Some(Arg::Of(id)) if self.told.absent.contains(id.as_str()) => Some(None),
            Some(arg) => span_of(arg, self.spans).map(Some),
        };
        let row = |row: &Vec<Option<Arg>>| row.iter().map(cell).collect::<Option<Vec<_>>>();
        match &rows[..] {
            [first, second] => Some([row(first)?, row(second)?]),
            _ => None,
        }
    }
}

/// The smallest and the largest value in the corners of a box.
fn corners<const N: usize>(of: [Span; N], value: impl Fn([f64; N]) -> f64) -> Option<Span> {
    let at = |corner: usize| {
        let mut point = [0.0; N];
        for (n, (low, high)) in of.iter().enumerate() {
            point[n] = if corner >> n & 1 == 1 { *high } else { *low };
        }
        value(point)
    };
    super::hull((0..1_usize << N).map(at))
}

fn less((a, b): Span, (c, d): Span) -> Span {
    (a - d, b - c)
}

fn over(of: Span, by: Span) -> Option<Span> {
    if by.0 <= 0.0 && by.1 >= 0.0 {
        return None;
    }
    corners([of, by], |[a, b]| a / b)
}

fn diameter((low, high): Span) -> Span {
    (orifice::diameter(low), orifice::diameter(high))
}

/// A space that holds gas at the reference temperature.
fn space((gas, coefficient): (Gas, Coefficient), barometer: f64) -> Space {
    Space {
        gas,
        barometer,
        temperature: REFERENCE,
        coefficient,
        deviations: 0.0,
    }
}

/// The opening found less the one that is left: each by its flow over its flux.
fn found(read: &Read) -> Option<Bound> {
    for own in ["test-hole", "reference", "reference-pressure"] {
        if read.arg(own).is_some() {
            return None;
        }
    }
    let kind = read.gas()?;
    let density = kind.0.density(ATMOSPHERE, ROOM);
    let barometer = read.number_or("barometer", ATMOSPHERE)?;
    let warmth = read.number_or("temperature", ROOM)?;
    let opening = |flow: &str, pressure: &str| {
        let (flow, pressure) = (read.number(flow)?, read.number(pressure)?);
        // Under a vacuum it is air that comes in; those bounds are left to the corners.
        if pressure.0 <= 0.0 || flow.0 < 0.0 || warmth.0 <= 0.0 {
            return None;
        }
        corners([flow, pressure, barometer, warmth], |[q, p, b, t]| {
            q * density / space(kind, b).flux(p) * (t / REFERENCE).sqrt()
        })
    };
    let area = less(
        opening("open-flow", "open-pressure")?,
        opening("covered-flow", "covered-pressure")?,
    );
    Some(Bound::Span(match read.work.take {
        0 => diameter(area),
        _ => area,
    }))
}

/// Whether a decay's temperatures count, or the gauge alone, as the time criterion has it.
#[derive(Clone, Copy, PartialEq)]
enum Heed {
    Temperatures,
    GaugeAlone,
}

/// Area over volume of a decay of two points, 1/m, and the temperature that its gas begins at.
fn slope(read: &Read, name: &str, heed: Heed) -> Option<(Span, Span)> {
    let kind = read.gas()?;
    let barometer = read.number_or("barometer", ATMOSPHERE)?;
    let steady = read.number_or("temperature", ROOM)?;
    let [first, second] = read.two_points(name)?;
    let ([Some(from), Some(p1), t1], [Some(to), Some(p2), t2]) = (&first[..], &second[..]) else {
        return None;
    };
    let time = less(*to, *from);
    let (low, high) = (p1.0.min(p2.0), p1.1.max(p2.1));
    // One that has emptied gives only the least that the hole can be.
    if time.0 <= 0.0 || (low <= 0.0 && high >= 0.0) || barometer.0 + low <= 0.0 || steady.0 <= 0.0 {
        return None;
    }
    let second_temperature = match heed {
        Heed::Temperatures => *t2,
        Heed::GaugeAlone => None,
    };
    let (lost, start, middle) = match (*t1, second_temperature) {
        (Some(t1), None) if t1.0 > 0.0 && heed == Heed::GaugeAlone => {
            let lost = corners([*p1, *p2, t1], |[p1, p2, t]| (p1 - p2) / t)?;
            (lost, t1, t1)
        }
        (Some(t1), Some(t2)) if t1.0 > 0.0 && t2.0 > 0.0 => {
            let of = [*p1, t1, *p2, t2, barometer];
            let lost = corners(of, |[p1, t1, p2, t2, b]| (b + p1) / t1 - (b + p2) / t2)?;
            let middle = (f64::midpoint(t1.0, t2.0), f64::midpoint(t1.1, t2.1));
            (lost, t1, middle)
        }
        // At one temperature the barometer drops out.
        (None, None) => {
            let lost = corners([*p1, *p2, steady], |[p1, p2, t]| (p1 - p2) / t)?;
            (lost, steady, steady)
        }
        _ => return None,
    };
    // The mean flux between two pressures rises with either, as the flux does, and with the barometer.
    let flux = corners([*p1, *p2, barometer], |[p1, p2, b]| {
        let space = space(kind, b);
        let apart = space.clock(p2) - space.clock(p1);
        if apart == 0.0 {
            space.flux(f64::midpoint(p1, p2))
        } else {
            (p2 - p1) / apart
        }
    })?;
    let passed = corners([flux, middle, time], |[f, t, s]| {
        f * (REFERENCE / t).sqrt() * s
    })?;
    let sign = if low < 0.0 { -1.0 } else { 1.0 };
    let constant = kind.0.constant();
    let slope = over(lost, passed)?;
    let slope = corners([slope], |[a]| sign * a / constant)?;
    Some((slope, start))
}

fn decay(read: &Read) -> Option<Bound> {
    let (slope, _) = slope(read, "at", Heed::Temperatures)?;
    let as_read = || self::slope(read, "at", Heed::GaugeAlone);
    let result = read.work.calculation.outputs.get(read.work.take)?.id;
    let volume = read.number("volume")?;
    let hole = || corners([slope, volume], |[a, v]| a * v.max(0.0)).map(diameter);
    match result {
        "diameter" => hole().map(Bound::Span),
        "large-leak" | "small-leak" if slope.0 > 0.0 => verdict(read, hole()?),
        // Where the pressure rises far enough, no hole is below any limit: something else is at work.
        "large-leak" | "small-leak" => match gain(read)? {
            (_, high) if high <= GAINS => verdict(read, hole()?),
            (low, _) if low > GAINS => Some(Bound::Word(CANNOT_TELL.to_owned())),
            _ => None,
        },
        "end-pressure" => left(read, as_read()?).map(Bound::Span),
        "verdict" => verdict(read, left(read, as_read()?)?),
        _ => None,
    }
}

/// By what factor a decay's pressure gains on its start, warming of the gas as read taken out.
fn gain(read: &Read) -> Option<Span> {
    let barometer = read.number_or("barometer", ATMOSPHERE)?;
    let [first, second] = read.two_points("at")?;
    let ([_, Some(p1), t1], [_, Some(p2), t2]) = (&first[..], &second[..]) else {
        return None;
    };
    let same = (1.0, 1.0);
    let (t1, t2) = (t1.unwrap_or(same), t2.unwrap_or(same));
    let sign = if p1.0 < 0.0 { -1.0 } else { 1.0 };
    corners([*p1, *p2, t1, t2, barometer], |[p1, p2, t1, t2, b]| {
        sign * ((b + p2) * t1 / t2 - b) / p1.abs()
    })
}

/// The pressure left at the end of the usual criterion: less, the faster it falls, and less, the
/// higher the barometer is, as the flux rises with it; more where it gains pressure.
fn left(read: &Read, (slope, start): (Span, Span)) -> Option<Span> {
    let [from, _, time] = USUAL_CRITERION;
    if read.words()?.word("criterion", "evaporative-pressure") != "evaporative-pressure" {
        return None;
    }
    let kind = read.gas()?;
    let barometer = read.number_or("barometer", ATMOSPHERE)?;
    let fall = corners([slope, start], |[a, t]| a * (t / REFERENCE).sqrt() * time)?;
    corners([fall, barometer], |[fall, b]| {
        space(kind, b).pressure_after(from, fall, 1.0, 1.0)
    })
}

/// The word of a verdict that rests on a number, where it is the same at both ends.
fn verdict(read: &Read, (low, high): Span) -> Option<Bound> {
    let judge = read.work.calculation.outputs.get(read.work.take)?.judge?;
    let given = read.words()?;
    let at = |value: f64| {
        (judge.rule)(&Seen {
            given: &given,
            estimate: Estimate::exact(value),
            effects: &[],
            also: None,
        })
    };
    match (at(low), at(high)) {
        (Answer::Text(one), Answer::Text(other)) if one == other => Some(Bound::Word(one)),
        _ => None,
    }
}

/// The space, and its own leak, from what the test hole adds.
fn volume(read: &Read) -> Option<Bound> {
    let test = read.number("test-hole")?;
    let (open, _) = slope(read, "open-at", Heed::Temperatures)?;
    let shut = match read.arg("at") {
        None => (0.0, 0.0),
        Some(_) => slope(read, "at", Heed::Temperatures)?.0,
    };
    let added = less(open, shut);
    if added.0 <= 0.0 || test.0 < 0.0 {
        return None;
    }
    let area = corners([test], |[d]| orifice::area(d))?;
    Some(Bound::Span(match read.work.take {
        0 => over(area, added)?,
        // shut / (open - shut) rises with what is shut and falls with what is open.
        1 if read.arg("at").is_some() => {
            let share = corners([open, shut], |[open, shut]| shut / (open - shut))?;
            diameter(corners([area, share], |[a, s]| a * s)?)
        }
        _ => return None,
    }))
}

/// The split of two trims: a straight line through them over flux by airflow.
fn trims(read: &Read) -> Option<Bound> {
    let kind = (Gas::Air, read.gas()?.1);
    let barometer = read.number_or("barometer", ATMOSPHERE)?;
    let warmth = read.number_or("temperature", ROOM)?;
    let banks = read.number_or("banks", 1.0)?;
    let rows = read.two_points("points")?;
    let read_all = rows.iter().all(|row| matches!(row[..], [_, _, Some(_)]));
    let mut points = Vec::new();
    for row in &rows {
        let [Some(airflow), Some(trim), manifold] = row[..] else {
            return None;
        };
        let manifold = manifold
            .filter(|_| read_all)
            .unwrap_or((IDLE_MANIFOLD, IDLE_MANIFOLD));
        // Under boost the air goes out; that far nothing is said.
        if airflow.0 <= 0.0 || banks.0 < 1.0 || warmth.0 <= 0.0 || manifold.1 >= barometer.0 {
            return None;
        }
        let flux = corners([manifold, barometer, warmth], |[m, b, t]| {
            space(kind, b).flux(m - b) * (REFERENCE / t).sqrt()
        })?;
        let share = corners([flux, airflow, banks], |[f, m, n]| f * n / m)?;
        points.push((flux, share, (1.0 + trim.0, 1.0 + trim.1)));
    }
    let [(flux, x1, y1), (_, x2, y2)] = points[..] else {
        return None;
    };
    // Where a leak can have the same share of the air at both points, the split turns over.
    let apart = less(x1, x2);
    if apart.0 <= 0.0 && apart.1 >= 0.0 {
        return None;
    }
    let of = [x1, x2, y1, y2];
    let level = corners(of, |[x1, x2, y1, y2]| (y2 * x1 - y1 * x2) / (x1 - x2))?;
    if level.0 <= 0.0 {
        return None;
    }
    let area = corners(of, |[x1, x2, y1, y2]| (y1 - y2) / (y2 * x1 - y1 * x2))?;
    let result = read.work.calculation.outputs.get(read.work.take)?.id;
    Some(Bound::Span(match result {
        "offset" => (level.0 - 1.0, level.1 - 1.0),
        "area" => area,
        "leak" => corners([area, flux], |[a, f]| a * f)?,
        "diameter" => diameter(area),
        _ => return None,
    }))
}

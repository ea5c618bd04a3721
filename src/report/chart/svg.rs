//! A chart as SVG, to stand inside an HTML page: no script, no outside link, text that stays text.
//!
//! A chart is 88 units wide, one unit a millimetre on paper. Nothing is told by colour alone: marks
//! differ by shape, lines by their dashes, bars by their filling. Long texts are broken into lines,
//! and the picture grows with them, so that none is cut off.

use super::axis::Scale;
use super::{Axis, Bars, Figure, Mark, Plot, Series, Stroke};
use crate::report::html::text;
use crate::report::text::line;

/// Width of a chart, and of the texts in it.
const WIDTH: f64 = 88.0;
/// Height of a letter.
const LETTER: f64 = 2.9;
/// From one line of text to the next.
const LINE: f64 = 3.7;
/// Height of the field of a plot.
const FIELD: f64 = 26.0;
/// Height of a bar.
const BAR: f64 = 3.4;

const DARK: &str = "#16181b";
const GRID: &str = "#d5dae0";
const FILL: &str = "#a9bccf";

/// The chart; `number` is its own on the page, so that its words can be told apart from others'.
pub fn svg(figure: &Figure, number: usize) -> String {
    let (height, body) = match figure {
        Figure::Plot(plot) => plot_body(plot),
        Figure::Bars(bars) => bars_body(bars),
    };
    let mut out = String::new();
    put!(
        out,
        "<svg class=\"chart\" viewBox=\"0 0 {WIDTH} {height:.1}\" role=\"img\" \
         aria-labelledby=\"c{number}t c{number}d\">\n<title id=\"c{number}t\">{}</title>\n\
         <desc id=\"c{number}d\">{}</desc>\n{body}</svg>\n",
        text(figure.title()),
        text(figure.about())
    );
    out
}

/// The key of a chart: a sample and a name for each thing drawn.
pub fn key(figure: &Figure) -> Vec<(String, String)> {
    let Figure::Plot(plot) = figure else {
        return Vec::new();
    };
    plot.series
        .iter()
        .map(|series| (sample(series), text(&series.name)))
        .collect()
}

fn sample(series: &Series) -> String {
    let mut out = "<svg class=\"sample\" viewBox=\"0 0 10 3.6\" aria-hidden=\"true\">".to_owned();
    if !series.line.is_empty() {
        stroke(&mut out, series.stroke, &[(0.4, 1.8), (9.6, 1.8)]);
    }
    mark(&mut out, series.mark, 5.0, 1.8);
    out.push_str("</svg>");
    out
}

fn plot_body(plot: &Plot) -> (f64, String) {
    let all = || {
        let each = plot.series.iter();
        each.flat_map(|series| series.points.iter().chain(&series.line))
    };
    let x = Scale::around(all().map(|p| p.0), plot.x.zero, 5);
    let y = Scale::around(all().map(|p| p.1), plot.y.zero, 4);
    let mut out = String::new();
    let above = lines_of(&axis_name(&plot.y), WIDTH);
    for (n, words) in above.iter().enumerate() {
        put_text(&mut out, 0.0, LINE * (n as f64 + 0.8), "start", words);
    }
    let widest = y.ticks.iter().map(|(_, t)| width(t)).fold(0.0, f64::max);
    let ends = x.ticks.last().map_or(0.0, |(_, t)| width(t) / 2.0);
    let (left, right) = (widest + 1.6, WIDTH - ends.max(1.5));
    let top = LINE * above.len() as f64 + 2.2;
    let bottom = top + FIELD;
    let across = |value: f64| left + x.place(value) * (right - left);
    let up = |value: f64| bottom - y.place(value) * (bottom - top);
    for (value, words) in &y.ticks {
        let (at, strong) = (up(*value), *value == 0.0);
        rule(&mut out, (left, at), (right, at), strong);
        put_text(&mut out, left - 1.2, at + 1.0, "end", words);
    }
    let keep = every(&x.ticks, right - left);
    for (n, (value, words)) in x.ticks.iter().enumerate() {
        let at = across(*value);
        rule(&mut out, (at, bottom), (at, bottom + 1.0), true);
        if n % keep == 0 {
            put_text(&mut out, at, bottom + 1.4 + LINE * 0.8, "middle", words);
        }
    }
    rule(&mut out, (left, top), (left, bottom), true);
    rule(&mut out, (left, bottom), (right, bottom), true);
    for series in &plot.series {
        let placed = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
            let drawn = points
                .iter()
                .filter(|(a, b)| a.is_finite() && b.is_finite());
            drawn.map(|(a, b)| (across(*a), up(*b))).collect()
        };
        stroke(&mut out, series.stroke, &placed(&series.line));
        for (a, b) in placed(&series.points) {
            mark(&mut out, series.mark, a, b);
        }
    }
    let mut foot = bottom + 1.4 + LINE;
    for words in lines_of(&axis_name(&plot.x), right - left) {
        let middle = f64::midpoint(left, right);
        put_text(&mut out, middle, foot + LINE * 0.8, "middle", &words);
        foot += LINE;
    }
    (foot + 1.0, out)
}

fn bars_body(bars: &Bars) -> (f64, String) {
    let ends = bars.bars.iter().flat_map(|bar| {
        let (low, high) = bar.interval.unwrap_or((bar.value, bar.value));
        [low, bar.value, high]
    });
    let scale = Scale::around(ends, true, 5);
    let (first, last) = (scale.ticks.first(), scale.ticks.last());
    let half = |tick: Option<&(f64, String)>| tick.map_or(0.0, |(_, t)| width(t) / 2.0);
    let (left, right) = (half(first).max(1.5), WIDTH - half(last).max(1.5));
    let across = |value: f64| left + scale.place(value) * (right - left);
    let mut out = String::new();
    let mut at = 0.0;
    let mut drawn = String::new();
    let mut bands = Vec::new();
    for (n, bar) in bars.bars.iter().enumerate() {
        for words in lines_of(&format!("{}: {}", bar.name, bar.shown), right - left) {
            put_text(&mut drawn, left, at + LINE * 0.8, "start", &words);
            at += LINE;
        }
        at += 0.5;
        bands.push((at - 0.5, at + BAR + 0.9));
        // The last of several is the state that the car left in: it stands out as an open bar.
        let open = bars.bars.len() > 1 && n + 1 == bars.bars.len() && bar.interval.is_some();
        let (from, to) = (
            across(0.0).min(across(bar.value)),
            across(0.0).max(across(bar.value)),
        );
        put!(
            drawn,
            "<rect x=\"{from:.2}\" y=\"{at:.2}\" width=\"{:.2}\" height=\"{BAR}\" fill=\"{}\" \
             stroke=\"{DARK}\" stroke-width=\"0.3\"/>\n",
            to - from,
            if open { "#ffffff" } else { FILL }
        );
        if let Some((low, high)) = bar.interval {
            whisker(&mut drawn, across(low), across(high), at + BAR / 2.0);
        }
        at += BAR + 1.8;
    }
    // The rules stand behind the bars alone, so that no word is crossed by one.
    for (value, _) in &scale.ticks {
        let (x, strong) = (across(*value), *value == 0.0);
        for (from, to) in &bands {
            rule(&mut out, (x, *from), (x, *to), strong);
        }
    }
    out.push_str(&drawn);
    let keep = every(&scale.ticks, right - left);
    for (n, (value, words)) in scale.ticks.iter().enumerate() {
        if n % keep == 0 {
            put_text(&mut out, across(*value), at + LINE * 0.8, "middle", words);
        }
    }
    at += LINE;
    if !bars.unit.is_empty() {
        let middle = f64::midpoint(left, right);
        put_text(&mut out, middle, at + LINE * 0.8, "middle", &bars.unit);
        at += LINE;
    }
    (at + 0.8, out)
}

/// "pressure (kPa)".
fn axis_name(axis: &Axis) -> String {
    if axis.unit.is_empty() {
        axis.name.clone()
    } else {
        format!("{} ({})", axis.name, axis.unit)
    }
}

/// Every how manieth number is written so that two never touch.
fn every(ticks: &[(f64, String)], room: f64) -> usize {
    let widest = ticks.iter().map(|(_, t)| width(t)).fold(0.0, f64::max) + 2.0;
    let apart = room / (ticks.len().saturating_sub(1).max(1)) as f64;
    (1..=ticks.len().max(1))
        .find(|n| *n as f64 * apart >= widest)
        .unwrap_or(1)
}

fn put_text(out: &mut String, x: f64, y: f64, anchor: &str, words: &str) {
    put!(
        out,
        "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{LETTER}\" text-anchor=\"{anchor}\" \
         fill=\"{DARK}\">{}</text>\n",
        text(words)
    );
}

fn rule(out: &mut String, from: (f64, f64), to: (f64, f64), strong: bool) {
    let (ink, wide) = if strong { (DARK, 0.3) } else { (GRID, 0.2) };
    put!(
        out,
        "<line x1=\"{:.2}\" y1=\"{:.2}\" x2=\"{:.2}\" y2=\"{:.2}\" stroke=\"{ink}\" \
         stroke-width=\"{wide}\"/>\n",
        from.0,
        from.1,
        to.0,
        to.1
    );
}

fn whisker(out: &mut String, low: f64, high: f64, at: f64) {
    put!(
        out,
        "<path d=\"M{low:.2} {:.2}V{:.2}M{low:.2} {at:.2}H{high:.2}M{high:.2} {:.2}V{:.2}\" \
         fill=\"none\" stroke=\"{DARK}\" stroke-width=\"0.45\"/>\n",
        at - 1.1,
        at + 1.1,
        at - 1.1,
        at + 1.1
    );
}

fn stroke(out: &mut String, stroke: Stroke, points: &[(f64, f64)]) {
    let (dashes, wide) = match stroke {
        Stroke::Full => ("none", 0.5),
        Stroke::Dashed => ("2.2 1.2", 0.5),
        Stroke::Dotted => ("0.5 0.9", 0.6),
    };
    if points.len() < 2 {
        return;
    }
    let path: Vec<String> = points
        .iter()
        .map(|(x, y)| format!("{x:.2},{y:.2}"))
        .collect();
    put!(
        out,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"{DARK}\" stroke-width=\"{wide}\" \
         stroke-dasharray=\"{dashes}\"/>\n",
        path.join(" ")
    );
}

fn mark(out: &mut String, mark: Mark, x: f64, y: f64) {
    match mark {
        Mark::None => {}
        Mark::Disc => put!(
            out,
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"1\" fill=\"{DARK}\"/>\n"
        ),
        Mark::Square => put!(
            out,
            "<rect x=\"{:.2}\" y=\"{:.2}\" width=\"2\" height=\"2\" fill=\"#ffffff\" \
             stroke=\"{DARK}\" stroke-width=\"0.45\"/>\n",
            x - 1.0,
            y - 1.0
        ),
        Mark::Cross => put!(
            out,
            "<path d=\"M{:.2} {:.2}l2 2m0 -2l-2 2\" stroke=\"{DARK}\" stroke-width=\"0.45\" fill=\"none\"/>\n",
            x - 1.0,
            y - 1.0
        ),
    }
}

/// About as wide as a text becomes, rather too wide than too narrow: nobody knows the reader's
/// fonts. Letters of scripts that are written in squares are a square.
fn width(words: &str) -> f64 {
    let of = |c: char| match u32::from(c) {
        0x1100.. => 1.05,
        _ if matches!(c, 'm' | 'w' | 'M' | 'W' | '%' | '@') => 0.95,
        _ if c.is_uppercase() => 0.75,
        _ => 0.6,
    };
    words.chars().map(of).sum::<f64>() * LETTER
}

/// A text in lines that fit a width; a word that is longer by itself is broken inside.
fn lines_of(words: &str, room: f64) -> Vec<String> {
    let words = line(words);
    let mut lines: Vec<String> = Vec::new();
    let mut now = String::new();
    for word in words.split(' ') {
        let longer = if now.is_empty() {
            word.to_owned()
        } else {
            format!("{now} {word}")
        };
        if width(&longer) <= room {
            now = longer;
            continue;
        }
        if !now.is_empty() {
            lines.push(std::mem::take(&mut now));
        }
        for c in word.chars() {
            if width(&now) + width(c.encode_utf8(&mut [0; 4])) > room {
                lines.push(std::mem::take(&mut now));
            }
            now.push(c);
        }
    }
    if !now.is_empty() {
        lines.push(now);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::Bar;
    use super::*;
    use proptest::prelude::*;

    fn plot(name: &str) -> Figure {
        Figure::Plot(Plot {
            title: name.to_owned(),
            about: name.to_owned(),
            x: Axis {
                name: name.to_owned(),
                unit: "kPa".to_owned(),
                zero: false,
            },
            y: Axis {
                name: name.to_owned(),
                unit: String::new(),
                zero: true,
            },
            series: vec![Series {
                name: name.to_owned(),
                mark: Mark::Disc,
                points: vec![(1.0, 2.0), (f64::NAN, 1.0), (3.0, 8.0)],
                stroke: Stroke::Dashed,
                line: vec![(1.0, 2.0), (3.0, 8.0)],
            }],
            ..Plot::default()
        })
    }

    #[test]
    fn a_text_in_a_chart_is_only_text() {
        let nasty = "</text></svg><script>x</script>\u{202e}\"'&";
        for drawn in [svg(&plot(nasty), 1), key(&plot(nasty))[0].1.clone()] {
            assert!(
                !drawn.contains("<script") && !drawn.contains('\u{202e}'),
                "{drawn}"
            );
        }
    }

    #[test]
    fn points_that_are_no_numbers_are_not_drawn() {
        let drawn = svg(&plot("p"), 1);
        assert!(
            !drawn.contains("NaN") && drawn.matches("<circle").count() == 2,
            "{drawn}"
        );
    }

    #[test]
    fn a_bar_begins_at_zero_and_shows_its_interval() {
        let bars = Figure::Bars(Bars {
            bars: vec![Bar {
                name: "Before".to_owned(),
                value: -4.0,
                interval: Some((-6.0, -2.0)),
                shown: "-4 kPa (-6 to -2 kPa)".to_owned(),
            }],
            ..Bars::default()
        });
        let drawn = svg(&bars, 3);
        assert!(
            drawn.contains("id=\"c3t\"")
                && drawn.contains("Before: -4\u{a0}kPa (-6 to -2\u{a0}kPa)")
        );
        assert!(drawn.contains("<path d=\"M"), "{drawn}");
    }

    proptest! {
        #[test]
        fn no_line_of_a_long_text_is_wider_than_its_room(words in "\\PC{0,200}") {
            for line in lines_of(&words, 40.0) {
                prop_assert!(width(&line) <= 40.0 + 1e-9, "{line}");
            }
        }
    }
}

//! Figures on a strip: where they lie against a window, with what is stock and what is nearly missed.

use std::collections::BTreeMap;

use super::canvas::{Anchor, Canvas, LETTERS, Tone, fixed};
use super::measure::{figure, quantity};
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::{Unit, Value};
use crate::judge::eval::number;
use crate::judge::package::PassengerLoads;
use crate::judge::work::done;
use crate::judge::{Case, Cure};
use crate::van::Van;
use crate::van::work::Work;

/// How a figure stands to its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Within them.
    Within,
    /// Beyond one of them, and cured by work on file.
    Cured,
    /// Beyond one of them, by little.
    Near,
    /// Beyond one of them.
    Beyond,
}

/// Parts that share a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// The figure, in base units.
    pub value: f64,
    /// How it stands to the limits.
    pub standing: Standing,
    /// How many parts have it.
    pub count: usize,
}

/// Figures of one kind against the limits of one van; all in base units.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// What is measured, and against what.
    pub title: String,
    /// The unit that figures are written in.
    pub unit: Unit,
    /// The least that is allowed.
    pub least: Option<f64>,
    /// The most that is allowed.
    pub most: Option<f64>,
    /// The stock wheel's or tire's figure.
    pub stock: Option<f64>,
    /// The figures of parts.
    pub marks: Vec<Mark>,
}

const WIDTH: f64 = 360.0;
/// From the drawing's edge to the ends of the scale.
const EDGE: f64 = 14.0;
/// Places that are told apart in one unit.
const PLACES: f64 = 2.0;
/// Height of the tallest mark.
const TALL: f64 = 34.0;

impl Strip {
    /// The strip as `<svg>`; none without a limit or without a figure.
    ///
    /// Each figure is a stroke, longer for more parts. One within the limits stands on the line, one beyond
    /// hangs below it; a ring is on its end where the limit is missed by little, a square where work cures
    /// it. What lies so far out that the window would shrink to nothing is counted at the end of the scale.
    #[must_use]
    pub fn svg(&self, prefix: &str) -> Option<String> {
        Some(self.canvas()?.into_svg(prefix, &self.title, &self.telling(), ""))
    }

    pub(super) fn canvas(&self) -> Option<Canvas> {
        let scale = Scale::of(self)?;
        let base = LETTERS + 8.0 + TALL;
        let below = TALL * 0.6;
        let names = base + below + LETTERS + 4.0;
        let mut canvas = Canvas::new(WIDTH, names + LETTERS + 10.0);
        let room = scale.window;
        canvas.shape(&format!(
            "<rect data-is=\"window\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"var(--draw-room,#dfeee2)\"/>",
            fixed(room.0),
            fixed(base - TALL),
            fixed(room.1 - room.0),
            fixed(TALL + below)
        ));
        canvas.shape(&format!(
            "<path d=\"M{} {base}H{}\" stroke=\"{}\" fill=\"none\"/>",
            fixed(EDGE),
            fixed(WIDTH - EDGE),
            Tone::Soft.color()
        ));
        for (limit, x) in [(self.least, room.0), (self.most, room.1)] {
            if limit.is_some() {
                canvas.shape(&format!(
                    "<path data-is=\"limit\" d=\"M{} {}V{}\" stroke=\"var(--draw-limit,#a8431b)\" stroke-width=\"1.6\"/>",
                    fixed(x),
                    fixed(base - TALL),
                    fixed(base + below)
                ));
            }
        }
        let mut beyond = [0, 0];
        let mut strokes: BTreeMap<(Standing, u16), usize> = BTreeMap::new();
        for mark in &self.marks {
            match scale.off(mark.value) {
                Some(side) => beyond[side] += mark.count,
                None => *strokes.entry((mark.standing, scale.place(mark.value))).or_default() += mark.count,
            }
        }
        let most = strokes.values().copied().max().unwrap_or(1).max(1);
        for ((standing, place), count) in strokes {
            // By the root of the count, so that one part beside a hundred is still seen.
            let share = (count as f64 / most as f64).sqrt();
            stroke(&mut canvas, standing, f64::from(place) / PLACES, (base, below), share);
        }
        if let Some(stock) = self.stock.filter(|stock| scale.off(*stock).is_none()) {
            let x = scale.x(stock);
            canvas.shape(&format!(
                "<path data-is=\"stock\" d=\"M{0} {1}V{2}\" stroke=\"var(--draw-stock,#5d6f7b)\" stroke-width=\"1.4\" stroke-dasharray=\"4 2\"/>",
                fixed(x),
                fixed(base - TALL - 3.0),
                fixed(base + below)
            ));
        }
        if let [only] = self.marks.as_slice()
            && only.count == 1
            && scale.off(only.value).is_none()
        {
            let tone = if only.standing == Standing::Within { Tone::Plain } else { Tone::Bad };
            let text = quantity(only.value, self.unit);
            canvas.label(scale.x(only.value), LETTERS + 1.0, Anchor::Middle, tone, &text);
        }
        for (at, count) in beyond.into_iter().enumerate().filter(|(_, count)| *count > 0) {
            let (x, anchor) = if at == 0 { (2.0, Anchor::Start) } else { (WIDTH - 2.0, Anchor::End) };
            let text = if at == 0 {
                format!("\u{2190} {count} further")
            } else {
                format!("{count} further \u{2192}")
            };
            canvas.label(x, LETTERS + 1.0, anchor, Tone::Bad, &text);
        }
        ends(&mut canvas, self, &scale, names);
        Some(canvas)
    }

    fn telling(&self) -> String {
        let count = |standing: Standing| -> usize {
            self.marks.iter().filter(|mark| mark.standing == standing).map(|mark| mark.count).sum()
        };
        let shown = |value: f64| quantity(value, self.unit);
        let limits = match (self.least, self.most) {
            (Some(least), Some(most)) if least == most => format!("It must be {}", shown(least)),
            (Some(least), Some(most)) => format!("From {} to {} is allowed", shown(least), shown(most)),
            (Some(least), None) => format!("At least {} is needed", shown(least)),
            (None, Some(most)) => format!("At most {} is allowed", shown(most)),
            (None, None) => String::new(),
        };
        let mut telling = vec![limits];
        telling.extend(self.stock.map(|stock| format!("stock is {}", shown(stock))));
        match self.marks.as_slice() {
            [Mark { value, standing, count: 1 }] => {
                let word = match standing {
                    Standing::Within => "within",
                    Standing::Cured => "beyond, which work cures",
                    Standing::Near => "beyond by little",
                    Standing::Beyond => "beyond",
                };
                telling.push(format!("this part has {}, {word}", shown(*value)));
            }
            _ => telling.push(format!(
                "{} within, {} that work cures, {} missing it by little, {} further off",
                count(Standing::Within),
                count(Standing::Cured),
                count(Standing::Near),
                count(Standing::Beyond)
            )),
        }
        format!("{}.", telling.join("; "))
    }
}

/// Where figures stand on a strip.
struct Scale {
    from: f64,
    to: f64,
    /// The left and right end of what is allowed, in the drawing's units.
    window: (f64, f64),
}

impl Scale {
    fn of(strip: &Strip) -> Option<Self> {
        let values: Vec<f64> = strip.marks.iter().map(|mark| mark.value).chain(strip.stock).collect();
        if strip.marks.is_empty() || values.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let limits: Vec<f64> = strip.least.into_iter().chain(strip.most).collect();
        let (first, last) = (*limits.first()?, *limits.last()?);
        if last < first {
            return None;
        }
        // As far to either side as the window is wide, or where it has one end half of that limit.
        let reach = if last > first { last - first } else { (first.abs() / 2.0).max(1.0) };
        // One part by itself is always on the scale.
        let reach = if strip.marks.len() == 1 { reach * 12.0 } else { reach };
        let least = values.iter().copied().fold(first, f64::min).max(first - reach);
        let most = values.iter().copied().fold(last, f64::max).min(last + reach);
        let pad = ((most - least) * 0.06).max(reach * 0.04);
        let mut scale = Self { from: least - pad, to: most + pad, window: (EDGE, WIDTH - EDGE) };
        let left = strip.least.map_or(EDGE, |least| scale.x(least));
        let right = strip.most.map_or(WIDTH - EDGE, |most| scale.x(most));
        scale.window = (left, right);
        Some(scale)
    }

    fn x(&self, value: f64) -> f64 {
        EDGE + (value - self.from) / (self.to - self.from) * (WIDTH - 2.0 * EDGE)
    }

    /// The place of a figure in parts of a unit: figures that no eye tells apart are one stroke.
    fn place(&self, value: f64) -> u16 {
        (self.x(value) * PLACES).round() as u16
    }

    /// At which end a figure is off the scale.
    fn off(&self, value: f64) -> Option<usize> {
        if value < self.from {
            Some(0)
        } else if value > self.to {
            Some(1)
        } else {
            None
        }
    }
}

fn stroke(canvas: &mut Canvas, standing: Standing, x: f64, (base, below): (f64, f64), share: f64) {
    let x = fixed(x);
    let up = base - 8.0 - (TALL - 14.0) * share;
    let down = base + 7.0 + (below - 10.0) * share;
    let (color, is, end) = match standing {
        Standing::Within => ("var(--draw-good,#1f6b43)", "within", up),
        Standing::Cured => ("var(--draw-near,#96590a)", "cured", down),
        Standing::Near => ("var(--draw-near,#96590a)", "near", down),
        Standing::Beyond => ("var(--draw-bad,#a3271f)", "beyond", down),
    };
    let end = fixed(end);
    canvas.shape(&format!(
        "<path data-is=\"{is}\" d=\"M{x} {base}V{end}\" stroke=\"{color}\" stroke-width=\"2.4\"/>"
    ));
    let shape = match standing {
        Standing::Within | Standing::Beyond => return,
        Standing::Near => format!("<circle cx=\"{x}\" cy=\"{end}\" r=\"3.2\""),
        Standing::Cured => format!("<path d=\"M{x} {end}m-3 -3h6v6h-6z\""),
    };
    canvas.shape(&format!(
        "{shape} fill=\"var(--draw-paper,#fffdf8)\" stroke=\"{color}\" stroke-width=\"1.6\"/>"
    ));
}

/// The figures of the limits below their places, and stock below them.
fn ends(canvas: &mut Canvas, strip: &Strip, scale: &Scale, names: f64) {
    let text = |value: f64| figure(value, strip.unit);
    match (strip.least, strip.most) {
        (Some(least), Some(most)) if least == most => {
            let told = format!("must be {}", text(least));
            canvas.label(scale.window.0, names, Anchor::Middle, Tone::Soft, &told);
        }
        (Some(least), Some(most)) => {
            // The two ends may stand closer than their labels: then each keeps to its own half.
            let (left, right) = (scale.window.0, scale.window.1);
            let middle = f64::midpoint(left, right);
            let (one, other) = (text(least), text(most));
            let one_at = (left + super::canvas::width_of(&one) / 2.0).min(middle - 3.0);
            let other_at = (right - super::canvas::width_of(&other) / 2.0).max(middle + 3.0);
            canvas.label(one_at, names, Anchor::End, Tone::Soft, &one);
            canvas.label(other_at, names, Anchor::Start, Tone::Soft, &other);
        }
        (Some(limit), None) => {
            canvas.label(
                scale.window.0,
                names,
                Anchor::Middle,
                Tone::Soft,
                &format!("at least {}", text(limit)),
            );
        }
        (None, Some(limit)) => {
            canvas.label(
                scale.window.1,
                names,
                Anchor::Middle,
                Tone::Soft,
                &format!("at most {}", text(limit)),
            );
        }
        (None, None) => {}
    }
    if let Some(stock) = strip.stock {
        let text = format!("stock {}", text(stock));
        match scale.off(stock) {
            None => canvas.label(scale.x(stock), names + LETTERS + 3.0, Anchor::Middle, Tone::Soft, &text),
            Some(0) => canvas.label(2.0, names + LETTERS + 3.0, Anchor::Start, Tone::Soft, &text),
            Some(_) => canvas.label(WIDTH - 2.0, names + LETTERS + 3.0, Anchor::End, Tone::Soft, &text),
        }
    }
}

/// Where a wheel's offset lies in the van's window once its work is done, as `<svg>`.
///
/// None for a tire, where the offset is not known, or where the van states no window. `prefix` begins
/// the identifiers of the element, as in [`section`](super::section()).
#[must_use]
pub fn offset_strip(spec: &Spec, cure: Option<&Cure>, van: &Van, prefix: &str) -> Option<String> {
    let strip = offset(spec, cure, van)?;
    strip.svg(prefix)
}

pub(super) fn offset(spec: &Spec, cure: Option<&Cure>, van: &Van) -> Option<Strip> {
    if spec.kind() != PartKind::Wheel {
        return None;
    }
    let works: Vec<&Work> =
        cure.map_or(&[][..], |cure| &cure.works).iter().filter_map(|work| van.works.get(*work)).collect();
    let after = done(&works, Case::of_part(spec, &van.facts, None), PassengerLoads::AsRated);
    let value = number(Field::WheelOffset, after.case()).known()?;
    let Some(Value::Window { from, to }) = after.van.get(Field::VanRoomOffset) else { return None };
    let standing = if (*from..=*to).contains(&value) { Standing::Within } else { Standing::Beyond };
    Some(Strip {
        title: format!("Offset {} in the window of the {}", quantity(value, Unit::Mm), van.name),
        unit: Unit::Mm,
        least: Some(*from),
        most: Some(*to),
        stock: van.facts.get(Field::VanStockOffset).and_then(Value::number),
        marks: vec![Mark { value, standing, count: 1 }],
    })
}

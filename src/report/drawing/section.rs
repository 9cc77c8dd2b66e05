//! A part in section against the hub face, with the stock wheel and tire and the room the van leaves.

use super::canvas::{Anchor, Canvas, LETTERS, Tone, fixed};
use super::legend::{Level, Row, levels, rows, telling};
use super::measure::both;
use super::outline::{self, FLANGE, Frame, Outline};
use super::scene::{Place, Scene, Shown, Stock, Tire, Wheel};
use crate::facts::part::Spec;
use crate::judge::Cure;
use crate::trade::quantity::Length;
use crate::trade::wheel::half_overall_width;
use crate::van::Van;

/// The drawing's width, in its own units; about as many as a phone has pixels across.
const WIDTH: f64 = 360.0;
/// Room at either side.
const EDGE: f64 = 8.0;
/// Room at the right for diameters.
const COLUMN: f64 = 132.0;
/// Units for one mm at most, so that small parts look small.
const LARGEST_SCALE: f64 = 0.62;
/// The height of what is drawn to scale, at most.
const TALLEST: f64 = 264.0;
/// How deep the hatching beyond a limit is drawn.
const HATCH: f64 = 13.0;
/// From one diameter's label to the next, at least.
const LABEL_STEP: f64 = 2.0 * LETTERS + 9.0;

/// How center lines are drawn, but for their color.
const CENTER: &str = "stroke-width=\".7\" stroke-dasharray=\"9 3 2 3\"";
/// How lines are drawn that lead from a shape to a figure.
const EXTENSION: &str = "stroke=\"var(--draw-soft,#51616b)\" stroke-width=\".6\" stroke-dasharray=\"1 2\"";

/// A wheel or tire in section on a van with its work done, as `<svg>`.
///
/// `prefix` begins the identifiers of the element: letters, digits and hyphens, once for each drawing on
/// a page. A wheel is drawn with its offset against the hub face; a tire on the stock wheel where that
/// takes it, else by itself. None where the figures for it are not known.
#[must_use]
pub fn section(spec: &Spec, cure: Option<&Cure>, van: &Van, prefix: &str) -> Option<String> {
    let scene = Scene::of(spec, cure, van)?;
    let picture = Picture::of(&scene, prefix);
    let data = format!(
        " data-scale=\"{}\" data-face=\"{}\" data-axle=\"{}\"",
        picture.frame.scale,
        fixed(picture.frame.face),
        fixed(picture.frame.axle)
    );
    let title = match scene.shown {
        Shown::Wheel(_) => format!("Wheel {} in section on the {}", scene.what, scene.van),
        Shown::Tire(_) => format!("Tire {} in section on the {}", scene.what, scene.van),
    };
    let telling = picture.telling.join(". ") + ".";
    Some(picture.canvas.into_svg(prefix, &title, &telling, &data))
}

/// A drawing with what it says.
pub(super) struct Picture {
    pub(super) canvas: Canvas,
    pub(super) frame: Frame,
    /// Where what is drawn to scale ends below.
    floor: f64,
    telling: Vec<String>,
}

impl Picture {
    pub(super) fn of(scene: &Scene, prefix: &str) -> Self {
        let rows = rows(scene);
        let levels = levels(scene);
        let stands = !matches!(scene.shown, Shown::Tire(Tire { place: Place::Alone { .. }, .. }));
        let (least, most) = across(scene);
        let tallest = levels.iter().map(|level| level.radius).fold(top(scene), f64::max);
        let right = if levels.is_empty() { EDGE } else { COLUMN };
        let wide = WIDTH - EDGE - right - 2.0 * HATCH;
        let scale = (wide / (most - least)).min(TALLEST / (tallest - lowest(scene))).min(LARGEST_SCALE);
        // Whole thousandths, so that the figure told beside the drawing is the one it was drawn with.
        let scale = (scale * 1000.0).floor() / 1000.0;
        let head = if stands { 2.0 * LETTERS + 14.0 } else { LETTERS };
        let slack = (wide - (most - least) * scale) / 2.0;
        let face = EDGE + HATCH + slack - least * scale;
        let face = (face * 10.0).round() / 10.0;
        let axle = ((head + HATCH + tallest * scale) * 10.0).round() / 10.0;
        let frame = Frame { face, axle, scale };
        let floor = frame.y(lowest(scene));
        let foot = floor + 12.0;
        let height = foot + rows.iter().map(Row::height).sum::<f64>() + 4.0;
        let mut picture = Self { canvas: Canvas::new(WIDTH, height), frame, floor, telling: Vec::new() };
        picture.room(scene, (least, most), head, prefix);
        picture.outlines(scene);
        if stands {
            picture.sides(head, foot);
        } else {
            picture.line((face, head), (face, floor), &format!("stroke=\"{}\" {CENTER}", Tone::Soft.color()));
        }
        picture.diameters(&levels, head);
        picture.measures(&rows, foot);
        picture.telling = telling(scene, &rows, &levels);
        picture
    }

    /// A line from one place to another, drawn with these attributes.
    fn line(&mut self, from: (f64, f64), to: (f64, f64), attributes: &str) {
        let steps = format!("M{} {}L{} {}", fixed(from.0), fixed(from.1), fixed(to.0), fixed(to.1));
        self.canvas.line(&steps, attributes);
    }

    /// The hatching beyond the room that the van leaves.
    fn room(&mut self, scene: &Scene, (least, most): (f64, f64), head: f64, prefix: &str) {
        let frame = self.frame;
        let prefix = super::canvas::escaped(prefix);
        let mut limits: Vec<(&str, [f64; 4], [f64; 4])> = Vec::new();
        let (top, bottom) = (head + 2.0, self.floor);
        let mut upright = |is: &'static str, mm: f64, sign: f64| {
            let x = frame.x(mm);
            let left = if sign > 0.0 { x } else { x - HATCH };
            limits.push((is, [left, top, HATCH, bottom - top], [x, top, x, bottom]));
        };
        match &scene.shown {
            Shown::Tire(Tire { place: Place::Alone { .. }, .. }) => {
                if let Some(widest) = scene.section_room {
                    upright("van-limit", -widest.mm() / 2.0, -1.0);
                    upright("street-limit", widest.mm() / 2.0, 1.0);
                }
            }
            Shown::Tire(_) | Shown::Wheel(_) => {
                if let Some(room) = scene.van_room {
                    upright("van-limit", -room.mm(), -1.0);
                }
                if let Some(room) = scene.street_room {
                    upright("street-limit", room.mm(), 1.0);
                }
            }
        }
        if let (Shown::Tire(_), Some(largest)) = (&scene.shown, scene.diameter_room) {
            let y = frame.y(largest.mm() / 2.0);
            let (left, right) = (frame.x(least), frame.x(most));
            limits.push(("diameter-limit", [left, y - HATCH, right - left, HATCH], [left, y, right, y]));
        }
        if limits.is_empty() {
            return;
        }
        let color = "var(--draw-limit,#a8431b)";
        let mut svg = format!(
            "<defs><pattern id=\"{prefix}-h\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><path d=\"M0 0V5\" stroke=\"{color}\" stroke-width=\"1.6\"/></pattern></defs>"
        );
        for (is, [x, y, width, height], [x1, y1, x2, y2]) in limits {
            svg.push_str(&format!(
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"url(#{prefix}-h)\"/>\
                 <path data-is=\"{is}\" d=\"M{} {}L{} {}\" stroke=\"{color}\" stroke-width=\"1.6\"/>",
                fixed(x),
                fixed(y),
                fixed(width),
                fixed(height),
                fixed(x1),
                fixed(y1),
                fixed(x2),
                fixed(y2)
            ));
        }
        self.canvas.shape(&svg);
    }

    fn filled(&mut self, is: &str, outline: &Outline, fill: &str) {
        let svg = format!(
            "<path data-is=\"{is}\" d=\"{}\" fill=\"{fill}\" fill-rule=\"evenodd\" \
             stroke=\"currentColor\" stroke-width=\".8\"/>",
            outline.path(&self.frame)
        );
        self.canvas.shape(&svg);
    }

    fn dashed(&mut self, is: &str, outline: &Outline) {
        let svg = format!(
            "<path data-is=\"{is}\" d=\"{}\" fill=\"none\" stroke=\"var(--draw-stock,#5d6f7b)\" \
             stroke-width=\"1.3\" stroke-dasharray=\"5 3\"/>",
            outline.path(&self.frame)
        );
        self.canvas.shape(&svg);
    }

    fn outlines(&mut self, scene: &Scene) {
        let hub_fill = "var(--draw-hub,#e6d7b8)";
        let (rim_fill, rubber) = ("var(--draw-rim,#bccad2)", "var(--draw-rubber,#3a464e)");
        let hub = scene.pilot.map(|pilot| pilot.mm() / 2.0);
        let flange = |pilot: f64| {
            let circle = scene.circle.map_or(pilot * 1.6, |circle| circle.mm() / 2.0 + 14.0);
            circle.max(pilot + 6.0)
        };
        match scene.shown {
            Shown::Wheel(wheel) => {
                if let Some(pilot) = hub {
                    self.filled("hub", &outline::hub(pilot, flange(pilot)), hub_fill);
                }
                let face = scene.moved.map_or(0.0, Length::mm);
                if let (Some(pilot), Some(moved)) = (hub, scene.moved) {
                    self.filled("spacer", &outline::spacer(moved.mm(), pilot, flange(pilot) - 3.0), hub_fill);
                }
                if let Some(stock) = &scene.stock {
                    self.stock(stock);
                }
                let rim = rim_of(wheel);
                if let Some(pilot) = hub {
                    let pad = scene.pad.map_or(14.0, Length::mm);
                    self.filled("disc", &outline::disc(rim, face, pilot, flange(pilot), pad), rim_fill);
                }
                self.filled("rim", &outline::rim(rim), rim_fill);
            }
            Shown::Tire(tire) => {
                let body = tire_of(tire, scene.stock.as_ref());
                match (tire.place, &scene.stock) {
                    (Place::OnStock { .. }, Some(stock)) => {
                        if let Some(pilot) = hub {
                            self.filled("hub", &outline::hub(pilot, flange(pilot)), hub_fill);
                        }
                        self.filled("tire", &outline::tire(body), rubber);
                        self.stock(stock);
                    }
                    (Place::OnStock { .. }, None) | (Place::Alone { .. }, _) => {
                        self.filled("tire", &outline::tire(body), rubber);
                        if let Some(stock) = &scene.stock {
                            self.stock_alone(stock);
                        }
                    }
                }
            }
        }
    }

    fn stock(&mut self, stock: &Stock) {
        let rim = rim_of(stock.wheel);
        let mut outline = outline::rim(rim);
        if let Some((diameter, section)) = stock.tire {
            outline = outline.and(outline::tire_line(outline::Tire {
                center: rim.center,
                half: section.mm() / 2.0,
                bead_half: rim.half,
                seat: rim.seat,
                crown: diameter.mm() / 2.0,
            }));
        }
        self.dashed("stock", &outline);
    }

    /// The stock tire about the same center line as a tire by itself.
    fn stock_alone(&mut self, stock: &Stock) {
        if let Some((diameter, section)) = stock.tire {
            self.dashed(
                "stock",
                &outline::tire_line(outline::Tire {
                    center: 0.0,
                    half: section.mm() / 2.0,
                    bead_half: stock.wheel.width.mm() / 2.0,
                    seat: stock.wheel.diameter.mm() / 2.0,
                    crown: diameter.mm() / 2.0,
                }),
            );
        }
    }

    /// The hub face, the axle's center line, and which side is which.
    fn sides(&mut self, head: f64, foot: f64) {
        let Frame { face, axle, .. } = self.frame;
        let (top, bottom) = (fixed(head - 1.0), fixed(foot - 2.0));
        self.canvas.shape(&format!(
            "<path data-is=\"face\" d=\"M{0} {top}L{0} {bottom}\" stroke=\"currentColor\" stroke-width=\"1.2\"/>",
            fixed(face)
        ));
        let center = format!("stroke=\"{}\" {CENTER}", Tone::Soft.color());
        self.line((EDGE, axle), (WIDTH - EDGE, axle), &center);
        self.canvas.label(EDGE, LETTERS + 2.0, Anchor::Start, Tone::Soft, "\u{2190} van side");
        self.canvas.label(WIDTH - EDGE, LETTERS + 2.0, Anchor::End, Tone::Soft, "street side \u{2192}");
        self.canvas.label(face, head - 6.0, Anchor::Middle, Tone::Soft, "hub face");
    }

    /// Diameters at the right, each with a leader; pushed apart where they are near one another.
    fn diameters(&mut self, levels: &[Level], head: f64) {
        let mut free = head + LETTERS;
        let (left, from) = (WIDTH - COLUMN + 12.0, WIDTH - COLUMN - 6.0);
        for level in levels {
            let y = self.frame.y(level.radius);
            let base = (y - 2.0).max(free);
            free = base + LABEL_STEP;
            self.line(
                (from, y),
                (left - 4.0, base - 4.0),
                &format!("stroke=\"{}\" stroke-width=\".8\"", level.tone.color()),
            );
            self.canvas.label(left, base, Anchor::Start, level.tone, level.name);
            self.canvas.label(left, base + LETTERS + 3.0, Anchor::Start, level.tone, &both(level.diameter));
        }
        for level in levels {
            let y = self.frame.y(level.radius);
            self.line((self.frame.face, y), (from, y), EXTENSION);
        }
    }

    /// The lines under the drawing, each in a band of its own.
    fn measures(&mut self, rows: &[Row], foot: f64) {
        let mut y = foot;
        for row in rows {
            if let Some((from, to)) = row.span {
                let line = y + LETTERS + 8.0;
                for mm in [from, to] {
                    let x = self.frame.x(mm);
                    self.line((x, self.floor), (x, line + 3.0), EXTENSION);
                }
            }
            y += row.height();
        }
        let mut y = foot;
        for row in rows {
            let middle = match row.span {
                Some((from, to)) => {
                    let (from, to, line) = (self.frame.x(from), self.frame.x(to), y + LETTERS + 8.0);
                    let steps = format!(
                        "M{0} {2}V{3}M{1} {2}V{3}M{0} {4}H{1}",
                        fixed(from),
                        fixed(to),
                        fixed(line - 3.0),
                        fixed(line + 3.0),
                        fixed(line)
                    );
                    self.canvas.line(&steps, &format!("stroke=\"{}\"", row.tone.color()));
                    f64::midpoint(from, to)
                }
                None => WIDTH / 2.0,
            };
            self.canvas.label(middle, y + LETTERS, Anchor::Middle, row.tone, &row.text);
            y += row.height();
        }
    }
}

fn rim_of(wheel: Wheel) -> outline::Rim {
    outline::Rim {
        center: -wheel.offset.mm(),
        half: wheel.width.mm() / 2.0,
        half_overall: half_overall_width(wheel.width).mm(),
        seat: wheel.diameter.mm() / 2.0,
    }
}

fn tire_of(tire: Tire, stock: Option<&Stock>) -> outline::Tire {
    let (center, section, bead) = match (tire.place, stock) {
        (Place::OnStock { section, .. }, Some(stock)) => {
            (-stock.wheel.offset.mm(), section, stock.wheel.width)
        }
        (Place::OnStock { section, .. }, None) => (0.0, section, section * 0.75),
        (Place::Alone { rim_width }, _) => (0.0, tire.section, rim_width.unwrap_or(tire.section * 0.75)),
    };
    let bead_half = (bead.mm() / 2.0).min(section.mm() / 2.0);
    outline::Tire {
        center,
        half: section.mm() / 2.0,
        bead_half,
        seat: tire.rim.mm() / 2.0,
        crown: tire.diameter.mm() / 2.0,
    }
}

/// From where to where the drawing reaches, in mm from the hub face.
fn across(scene: &Scene) -> (f64, f64) {
    let mut edges = Vec::new();
    let mut wheel = |wheel: Wheel| edges.extend([wheel.street_edge().mm(), -wheel.van_edge().mm()]);
    let alone = match scene.shown {
        Shown::Wheel(shown) => {
            wheel(shown);
            false
        }
        Shown::Tire(Tire { place: Place::OnStock { street, van, .. }, .. }) => {
            edges.extend([street.mm(), -van.mm()]);
            false
        }
        Shown::Tire(Tire { section, .. }) => {
            edges.extend([section.mm() / 2.0, -section.mm() / 2.0]);
            true
        }
    };
    if let Some(stock) = &scene.stock {
        let center = if alone { 0.0 } else { -stock.wheel.offset.mm() };
        let half = stock.tire.map_or(0.0, |(_, section)| section.mm() / 2.0);
        let half = if alone { half } else { half.max(half_overall_width(stock.wheel.width).mm()) };
        edges.extend([center - half, center + half]);
    }
    if alone {
        edges.extend(scene.section_room.iter().flat_map(|widest| [widest.mm() / 2.0, -widest.mm() / 2.0]));
    } else {
        edges.extend(scene.street_room.map(Length::mm));
        edges.extend(scene.van_room.map(|room| -room.mm()));
        // The hub is seen before and behind its face.
        edges.extend([-90.0, 24.0]);
    }
    let least = edges.iter().copied().fold(f64::INFINITY, f64::min);
    (least, edges.iter().copied().fold(f64::NEG_INFINITY, f64::max))
}

/// The highest point that is drawn, in mm from the axle.
fn top(scene: &Scene) -> f64 {
    let stock = scene.stock.as_ref();
    let stock_tire = stock.and_then(|stock| stock.tire).map_or(0.0, |(diameter, _)| diameter.mm() / 2.0);
    let own = match scene.shown {
        Shown::Wheel(wheel) => wheel.diameter.mm() / 2.0 + FLANGE,
        Shown::Tire(tire) => tire.diameter.mm() / 2.0,
    };
    let stock_rim = stock.map_or(0.0, |stock| stock.wheel.diameter.mm() / 2.0 + FLANGE);
    own.max(stock_tire).max(stock_rim)
}

/// The lowest point that is drawn, in mm from the axle: a tire by itself is cut off below its beads.
fn lowest(scene: &Scene) -> f64 {
    let Shown::Tire(Tire { place: Place::Alone { .. }, rim, .. }) = &scene.shown else { return 0.0 };
    let stock = scene.stock.as_ref().map(|stock| stock.wheel.diameter).filter(|stock| stock < rim);
    (stock.unwrap_or(*rim).mm() / 2.0 - 24.0).max(0.0)
}

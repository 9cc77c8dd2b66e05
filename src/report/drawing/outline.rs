//! The outlines of tire, rim, disc and hub in section, in mm from hub face and axle.
//!
//! Only the figures handed in are true to measure: diameters, widths, and where the rim stands to the
//! hub face. What lies between them is drawn as such parts usually are.

use std::fmt::Write as _;

use super::canvas::fixed;

/// Where a millimeter stands in a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    /// The place of x = 0, in the drawing's units from the left.
    pub(super) face: f64,
    /// The place of the axle's center line, from the top.
    pub(super) axle: f64,
    /// Units of the drawing for one mm.
    pub(super) scale: f64,
}

impl Frame {
    /// The place of a distance from the hub face, positive toward the street.
    pub(super) fn x(&self, mm: f64) -> f64 {
        self.face + mm * self.scale
    }

    /// The place of a distance from the axle.
    pub(super) fn y(&self, radius: f64) -> f64 {
        self.axle - radius * self.scale
    }
}

/// A point: mm from the hub face, mm from the axle.
type Point = (f64, f64);

enum Step {
    Move(Point),
    Line(Point),
    Curve(Point, Point, Point),
    Close,
}

/// A closed line, or several.
pub(super) struct Outline(Vec<Step>);

impl Outline {
    fn polygon(points: &[Point]) -> Self {
        let mut steps: Vec<Step> = points.iter().map(|point| Step::Line(*point)).collect();
        if let (Some(first), Some(point)) = (steps.first_mut(), points.first()) {
            *first = Step::Move(*point);
        }
        steps.push(Step::Close);
        Self(steps)
    }

    /// Both outlines.
    pub(super) fn and(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    /// The path that draws it.
    pub(super) fn path(&self, frame: &Frame) -> String {
        let mut path = String::new();
        let at = |(x, radius): Point| format!("{} {}", fixed(frame.x(x)), fixed(frame.y(radius)));
        for step in &self.0 {
            let _ = match step {
                Step::Move(point) => write!(path, "M{}", at(*point)),
                Step::Line(point) => write!(path, "L{}", at(*point)),
                Step::Curve(one, two, point) => {
                    write!(path, "C{} {} {}", at(*one), at(*two), at(*point))
                }
                Step::Close => write!(path, "Z"),
            };
        }
        path
    }
}

/// A rim, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rim {
    /// Its center plane, from the hub face.
    pub(super) center: f64,
    /// Half its width between the flanges.
    pub(super) half: f64,
    /// Half its width over all.
    pub(super) half_overall: f64,
    /// Radius of the bead seats.
    pub(super) seat: f64,
}

/// How far a flange stands up from the bead seat: as usual for such rims.
pub(super) const FLANGE: f64 = 17.0;
const WELL: f64 = 20.0;
const WALL: f64 = 9.0;

/// A tire, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tire {
    /// Its center plane, from the hub face.
    pub(super) center: f64,
    /// Half its section width.
    pub(super) half: f64,
    /// Half the width between its beads.
    pub(super) bead_half: f64,
    /// Radius at its beads.
    pub(super) seat: f64,
    /// Radius of the crown.
    pub(super) crown: f64,
}

/// The ring of a rim.
pub(super) fn rim(rim: Rim) -> Outline {
    let Rim { center, half, half_overall, seat } = rim;
    let (slope, floor) = ((half * 0.22).min(22.0), (half * 0.4).min(36.0));
    let right: [Point; 9] = [
        (half - floor, seat - WELL),
        (half - slope, seat - 2.0),
        (half, seat),
        (half, seat + FLANGE),
        (half_overall, seat + FLANGE),
        (half_overall, seat + 6.0),
        (half + 1.0, seat - WALL),
        (half - slope + 2.0, seat - WALL - 2.0),
        (half - floor + 3.0, seat - WELL - WALL),
    ];
    let left = right.iter().rev().map(|(x, radius)| (-x, *radius));
    let points: Vec<Point> =
        right.iter().copied().chain(left).map(|(x, radius)| (center + x, radius)).collect();
    Outline::polygon(&points)
}

/// The disc that joins a rim to the hub: from the mounting face at `face` mm to the underside of the rim.
pub(super) fn disc(rim: Rim, face: f64, bore: f64, pad: f64, thickness: f64) -> Outline {
    let under = rim.seat - WELL - WALL + 2.0;
    let reach = (rim.half - (rim.half * 0.4).min(36.0) - 6.0).max(0.0);
    let joint = (face + thickness / 2.0).clamp(rim.center - reach, rim.center + reach);
    let pad = pad.min(under - 8.0).max(bore + 4.0);
    let outer = face + thickness;
    Outline(vec![
        Step::Move((face, bore)),
        Step::Line((outer, bore)),
        Step::Line((outer, pad)),
        Step::Curve(
            (outer, pad + (under - pad) * 0.5),
            (joint + 7.0, pad + (under - pad) * 0.6),
            (joint + 7.0, under),
        ),
        Step::Line((joint - 7.0, under)),
        Step::Curve((joint - 7.0, pad + (under - pad) * 0.6), (face, pad + (under - pad) * 0.5), (face, pad)),
        Step::Close,
    ])
}

/// The outer line of a tire.
pub(super) fn tire_line(tire: Tire) -> Outline {
    let Tire { center, half, bead_half, seat, crown } = tire;
    let mut steps = vec![Step::Move((center - bead_half, seat))];
    steps.extend(skin(center, half, bead_half, seat, crown));
    steps.push(Step::Close);
    Outline(steps)
}

/// The body of a tire: its outer line, and back along its inner one.
pub(super) fn tire(tire: Tire) -> Outline {
    let Tire { center, half, bead_half, seat, crown } = tire;
    let height = crown - seat;
    let (side, tread) = ((half * 0.08).min(9.0), (height * 0.2).min(17.0));
    let (inner_half, inner_bead) = (half - side, (bead_half - 15.0).max(bead_half * 0.6));
    let mut steps = vec![Step::Move((center - bead_half, seat))];
    steps.extend(skin(center, half, bead_half, seat, crown));
    steps.push(Step::Line((center + inner_bead, seat + 1.0)));
    // Mirrored, the inner line runs back from the street to the van.
    steps.extend(skin(center, -inner_half, -inner_bead, seat + 1.0, crown - tread));
    steps.push(Step::Close);
    Outline(steps)
}

/// A tire's line from its bead at -`bead_half` over the crown to the other bead.
fn skin(center: f64, half: f64, bead_half: f64, seat: f64, crown: f64) -> [Step; 6] {
    let height = crown - seat;
    let at = |share: f64| seat + height * share;
    let (wide, shoulder) = (0.52, 0.76 * half);
    let point = |x: f64, radius: f64| (center + x, radius);
    [
        Step::Curve(point(-bead_half, at(0.2)), point(-half, at(0.3)), point(-half, at(wide))),
        Step::Curve(point(-half, at(0.78)), point(-0.9 * half, at(0.95)), point(-shoulder, at(0.985))),
        Step::Curve(point(-0.3 * half, crown), point(-0.1 * half, crown), point(0.0, crown)),
        Step::Curve(point(0.1 * half, crown), point(0.3 * half, crown), point(shoulder, at(0.985))),
        Step::Curve(point(0.9 * half, at(0.95)), point(half, at(0.78)), point(half, at(wide))),
        Step::Curve(point(half, at(0.3)), point(bead_half, at(0.2)), point(bead_half, seat)),
    ]
}

/// The hub: a flange whose outer face is the hub face, the pilot before it and the axle behind it.
pub(super) fn hub(pilot: f64, flange: f64) -> Outline {
    let axle = (pilot * 0.7).min(45.0);
    Outline::polygon(&[
        (-85.0, 0.0),
        (-85.0, axle),
        (-16.0, axle),
        (-16.0, flange),
        (0.0, flange),
        (0.0, pilot),
        (9.0, pilot - 2.0),
        (9.0, 0.0),
    ])
}

/// A spacer between hub and wheel: from the hub face to `thickness` mm before it.
pub(super) fn spacer(thickness: f64, pilot: f64, flange: f64) -> Outline {
    Outline::polygon(&[(0.0, pilot), (0.0, flange), (thickness, flange), (thickness, pilot)])
}

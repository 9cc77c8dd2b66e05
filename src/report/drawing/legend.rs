//! What a drawing says: the lines under it, the diameters beside it, and all of it in words.

use super::canvas::{LETTERS, Tone};
use super::measure::{both, figure, quantity};
use super::scene::{Place, Scene, Shown, Tire, Wheel};
use crate::facts::value::Unit;
use crate::trade::quantity::Length;

/// A line under the drawing: what it says, and from where to where it measures, in mm from the hub face.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    pub(super) text: String,
    pub(super) tone: Tone,
    pub(super) span: Option<(f64, f64)>,
}

impl Row {
    fn told(text: impl Into<String>) -> Self {
        Self { text: text.into(), tone: Tone::Soft, span: None }
    }

    fn measured(text: impl Into<String>, from: Length, to: Length) -> Self {
        Self { text: text.into(), tone: Tone::Plain, span: Some((from.mm(), to.mm())) }
    }

    /// The room that it takes, from the line above.
    pub(super) fn height(&self) -> f64 {
        if self.span.is_some() { LETTERS + 15.0 } else { LETTERS + 6.0 }
    }
}

/// What is left on one side of the van's room.
struct Side {
    name: &'static str,
    /// Where the part ends, from the hub face toward this side.
    edge: Length,
    room: Option<Length>,
    /// 1 toward the street, -1 toward the van.
    sign: f64,
}

impl Side {
    fn row(&self) -> Row {
        let Self { name, edge, room, sign } = self;
        let at = |length: Length| length * *sign;
        match room {
            Some(room) if edge > room => {
                let text = format!("{name}: {} too far", both(*edge - *room));
                Row { tone: Tone::Bad, ..Row::measured(text, at(*room), at(*edge)) }
            }
            Some(room) => {
                let left = *room - *edge;
                let left = if left.base() == 0.0 { "nothing".to_owned() } else { both(left) };
                let text = format!("{name}: {left} left");
                Row::measured(text, at(*edge), at(*room))
            }
            None if edge.base() < 0.0 => {
                let way = if *sign > 0.0 { "behind" } else { "before" };
                let text = format!("{name}: ends {} {way} the hub face", both(*edge));
                Row::measured(text, at(*edge), Length::from_mm(0.0))
            }
            None => {
                let text = format!("{name}: reaches {}", both(*edge));
                Row::measured(text, Length::from_mm(0.0), at(*edge))
            }
        }
    }
}

/// A diameter that is named beside the drawing.
pub(super) struct Level {
    pub(super) radius: f64,
    pub(super) name: &'static str,
    pub(super) diameter: Length,
    pub(super) tone: Tone,
}

/// The diameters beside a tire, the largest first.
pub(super) fn levels(scene: &Scene) -> Vec<Level> {
    let Shown::Tire(tire) = &scene.shown else { return Vec::new() };
    let level = |name, diameter: Length, tone| Level { radius: diameter.mm() / 2.0, name, diameter, tone };
    let too_large = scene.diameter_room.is_some_and(|largest| tire.diameter > largest);
    let mut levels = vec![level("this tire", tire.diameter, if too_large { Tone::Bad } else { Tone::Plain })];
    levels.extend(scene.diameter_room.map(|largest| level("room for", largest, Tone::Near)));
    let stock = scene.stock.as_ref().and_then(|stock| stock.tire);
    levels.extend(stock.map(|(diameter, _)| level("stock", diameter, Tone::Soft)));
    levels.sort_by(|one, other| other.radius.total_cmp(&one.radius));
    levels
}

/// The lines under a drawing, from the top.
pub(super) fn rows(scene: &Scene) -> Vec<Row> {
    let mut rows = match &scene.shown {
        Shown::Wheel(wheel) => wheel_rows(scene, *wheel),
        Shown::Tire(tire) => tire_rows(scene, *tire),
    };
    if let Some(stock) = &scene.stock {
        rows.push(Row::told(format!("dashed: stock {}", stock.words)));
    }
    let on_the_hub = !matches!(scene.shown, Shown::Tire(Tire { place: Place::Alone { .. }, .. }));
    if scene.twin && on_the_hub {
        rows.push(Row::told("as front and inner rear wheels stand"));
    }
    rows
}

fn wheel_rows(scene: &Scene, wheel: Wheel) -> Vec<Row> {
    let center = -wheel.offset;
    let half = wheel.width / 2.0;
    let width =
        format!("rim {} ({})", figure(wheel.width.base(), Unit::Inch), figure(wheel.width.base(), Unit::Mm));
    let offset = quantity(wheel.offset.base(), Unit::Mm);
    let offset = match scene.moved {
        Some(moved) => format!("offset {offset}, moved out {}", figure(moved.base(), Unit::Mm)),
        None => format!("offset {offset}"),
    };
    let mut rows = vec![
        Row::measured(width, center - half, center + half),
        Row::measured(offset, center, Length::from_mm(0.0)),
    ];
    rows.push(
        Side { name: "street side", edge: wheel.street_edge(), room: scene.street_room, sign: 1.0 }.row(),
    );
    rows.push(Side { name: "van side", edge: wheel.van_edge(), room: scene.van_room, sign: -1.0 }.row());
    rows
}

fn tire_rows(scene: &Scene, tire: Tire) -> Vec<Row> {
    let mut rows = Vec::new();
    match tire.place {
        Place::OnStock { section, street, van } => {
            let center = scene.stock.as_ref().map_or(Length::from_mm(0.0), |stock| -stock.wheel.offset);
            let half = section / 2.0;
            rows.push(Row::measured(
                format!("{} wide on the stock rim", both(section)),
                center - half,
                center + half,
            ));
            rows.push(Side { name: "street side", edge: street, room: scene.street_room, sign: 1.0 }.row());
            rows.push(Side { name: "van side", edge: van, room: scene.van_room, sign: -1.0 }.row());
        }
        Place::Alone { .. } => {
            let half = tire.section / 2.0;
            rows.push(Row::measured(format!("section {}", both(tire.section)), -half, half));
            if let Some(widest) = scene.section_room {
                rows.push(left("of the width", tire.section, widest));
            }
        }
    }
    if let Some(largest) = scene.diameter_room {
        rows.push(left("of the diameter", tire.diameter, largest));
    }
    rows
}

/// What is left below a limit, in words.
fn left(of: &str, have: Length, most: Length) -> Row {
    if have > most {
        Row { tone: Tone::Bad, ..Row::told(format!("{} {of} too much", both(have - most))) }
    } else {
        let room = most - have;
        let room = if room.base() == 0.0 { "nothing".to_owned() } else { both(room) };
        Row { tone: Tone::Plain, ..Row::told(format!("{room} {of} left")) }
    }
}

/// All that the drawing shows, in words.
pub(super) fn telling(scene: &Scene, rows: &[Row], levels: &[Level]) -> Vec<String> {
    let mut telling = Vec::new();
    telling.push(match &scene.shown {
        Shown::Wheel(_) => "The upper half of the wheel, cut through the axle; the hub face is a vertical line, the street to the right".to_owned(),
        Shown::Tire(Tire { place: Place::OnStock { .. }, .. }) => {
            "The upper half of the tire on the stock wheel, cut through the axle; the hub face is a vertical line, the street to the right".to_owned()
        }
        Shown::Tire(_) => "The upper half of the tire by itself, cut through the axle".to_owned(),
    });
    if scene.worked {
        telling.push("Drawn with the work done".to_owned());
    }
    telling.extend(levels.iter().map(|level| format!("Diameter, {}: {}", level.name, both(level.diameter))));
    telling.extend(rows.iter().map(|row| row.text.clone()));
    if matches!(scene.shown, Shown::Wheel(_)) && (scene.street_room.is_some() || scene.van_room.is_some()) {
        telling.push("What is left is beside the rim; a tire takes its part of it".to_owned());
    }
    if scene.street_room.is_none() && scene.van_room.is_none() {
        telling.push("The van file states no limit toward street or van".to_owned());
    }
    telling.push("Between the figures the outlines are schematic".to_owned());
    telling
}

//! Drawings against sums made here, in mm and by hand, and never by the code that draws.

use std::path::Path;
use std::sync::Arc;

use quick_xml::events::{BytesStart, Event};
use rust_decimal::Decimal;

use super::canvas::Canvas;
use super::scene::Scene;
use super::section::{Picture, section};
use super::strip::{Mark, Standing, Strip, offset_strip};
use crate::document::Source;
use crate::facts::fact::Fact;
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::{Unit, Value};
use crate::judge::Cure;
use crate::judge::finding::NonEmpty;
use crate::trade::tire::{Construction, RimCode, Service, Size, Suffix};
use crate::van::{Van, read_van};

const ROOM: &str = r#"
outboard_reach = "118 mm"
inboard_reach  = "196 mm"
offset         = ["30 mm", "62 mm"]
tire_diameter  = "790 mm"
tire_section   = "275 mm"
"#;

fn van(stock: &str, room: &str) -> Van {
    let text = format!(
        r#"
[van]
id = "brisk-a1"
name = "Brisk <A1> & sons"
top_speed = "150 km/h"
front = {{ axle_load = "1850 kg", wheels = 2 }}
rear  = {{ axle_load = "2430 kg", wheels = 2 }}
[van.hub]
bolt_pattern = "6x130"
pilot  = "84.1 mm"
fixing = "bolt"
thread = "M14x1.5"
seat   = "ball R14"
{stock}
[van.room]
{room}
[[work]]
name   = "20 mm spacer"
shifts = {{ "wheel.offset" = "-20 mm" }}
costs  = "1.00"
[[work]]
name   = "liner trim"
raises = {{ "van.room.tire_diameter" = "815 mm" }}
costs  = "1.00"
"#
    );
    let (van, problems) = read_van(&Source::new("van.toml", text), Path::new("."));
    assert!(problems.is_empty(), "{problems:?}");
    van.unwrap()
}

fn usual() -> Van {
    van("[van.stock]\nwheel = \"6.5x16 ET62\"\ntire = \"235/65R16C 121/119R\"", ROOM)
}

fn bare() -> Van {
    van("", "rim_width = [\"6 in\", \"9 in\"]")
}

fn spec(kind: PartKind, facts: &[(Field, Value)]) -> Spec {
    let missing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(kind, |_| Arc::clone(&missing));
    for (field, value) in facts {
        spec.put(*field, Fact::derived(value.clone()));
    }
    spec
}

fn mm(length: f64) -> Value {
    Value::Number(Unit::Mm.to_base(length))
}

fn inches(length: f64) -> Value {
    Value::Number(Unit::Inch.to_base(length))
}

fn wheel(diameter: f64, width: f64, offset: f64) -> Spec {
    spec(
        PartKind::Wheel,
        &[
            (Field::WheelRimDiameter, inches(diameter)),
            (Field::WheelRimWidth, inches(width)),
            (Field::WheelOffset, mm(offset)),
        ],
    )
}

/// A tire whose size tells its section, as it does after derivation.
fn tire(width: u16, aspect: u8, rim: u16, diameter: f64) -> Spec {
    let size = Size::Metric {
        service: Service::Unmarked,
        width_mm: width,
        aspect: Some(aspect),
        construction: Construction::Radial,
        rim: RimCode::from_tenths(rim * 10),
        suffix: Suffix::C,
    };
    let mut spec = spec(
        PartKind::Tire,
        &[
            (Field::TireSize, Value::Size(size)),
            (Field::TireOverallDiameter, mm(diameter)),
            (Field::TireRimDiameter, inches(f64::from(rim))),
            (Field::TireMeasuringRim, inches(7.0)),
            (Field::TireRimWidthMin, inches(6.5)),
            (Field::TireRimWidthMax, inches(8.5)),
        ],
    );
    let nominal = Fact::derived(mm(f64::from(width)));
    let from = crate::facts::fact::From::Designation;
    spec.put(Field::TireSectionWidth, Fact { from, ..nominal });
    spec
}

fn cure(work: usize) -> Cure {
    Cure { works: NonEmpty::new(vec![work]).unwrap(), cost: Decimal::ONE }
}

/// One element of a drawing: its name and attributes.
type Element = (String, Vec<(String, String)>);

fn elements(svg: &str) -> Vec<Element> {
    let mut reader = quick_xml::Reader::from_str(svg);
    let mut found = Vec::new();
    let mut depth = 0_i32;
    let element = |start: &BytesStart<'_>| {
        let name = start.name().as_ref().to_owned();
        let attributes = start.attributes().map(Result::unwrap).map(|attribute| {
            let key = attribute.key.as_ref().to_owned();
            (key, attribute.value.into_owned())
        });
        (name, attributes.collect())
    };
    loop {
        match reader.read_event().unwrap() {
            Event::Start(start) => {
                depth += 1;
                found.push(element(&start));
            }
            Event::Empty(start) => found.push(element(&start)),
            Event::End(_) => depth -= 1,
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(depth, 0, "every element is closed");
    found
}

fn attribute<'e>(element: &'e Element, name: &str) -> &'e str {
    &element.1.iter().find(|(key, _)| key == name).unwrap_or_else(|| panic!("{name} in {element:?}")).1
}

fn number(element: &Element, name: &str) -> f64 {
    attribute(element, name).parse().unwrap()
}

fn named<'e>(elements: &'e [Element], is: &str) -> Option<&'e Element> {
    elements.iter().find(|(_, all)| all.iter().any(|(key, value)| key == "data-is" && value == is))
}

/// Every place in a path, in the drawing's units.
fn places(path: &Element) -> Vec<(f64, f64)> {
    let letters = attribute(path, "d").replace(['M', 'L', 'C', 'Z', 'V', 'H'], " ");
    let numbers: Vec<f64> = letters.split_whitespace().map(|number| number.parse().unwrap()).collect();
    assert_eq!(numbers.len() % 2, 0);
    numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect()
}

/// A drawing read back into mm from the hub face and from the axle.
struct Measured {
    elements: Vec<Element>,
    scale: f64,
    face: f64,
    axle: f64,
}

impl Measured {
    fn of(svg: &str) -> Self {
        let elements = elements(svg);
        let [scale, face, axle] =
            ["data-scale", "data-face", "data-axle"].map(|name| number(&elements[0], name));
        Self { elements, scale, face, axle }
    }

    /// Left, right, bottom and top of a shape, in mm.
    fn extent(&self, is: &str) -> [f64; 4] {
        let places = places(named(&self.elements, is).unwrap_or_else(|| panic!("no {is}")));
        let x = |place: &(f64, f64)| (place.0 - self.face) / self.scale;
        let r = |place: &(f64, f64)| (self.axle - place.1) / self.scale;
        let least = |of: &dyn Fn(&(f64, f64)) -> f64| places.iter().map(of).fold(f64::INFINITY, f64::min);
        let most = |of: &dyn Fn(&(f64, f64)) -> f64| places.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        [least(&x), most(&x), least(&r), most(&r)]
    }

    /// Where an upright line stands, in mm from the hub face.
    fn upright(&self, is: &str) -> f64 {
        let [left, right, ..] = self.extent(is);
        assert!((left - right).abs() < 1e-9, "{is} is upright");
        left
    }

    fn has(&self, is: &str) -> bool {
        named(&self.elements, is).is_some()
    }
}

/// Places are written to a tenth of a unit, which is at most this many mm.
const COARSE: f64 = 0.2;

fn near(have: f64, want: f64) {
    assert!((have - want).abs() < COARSE, "{have} is not {want}");
}

fn words(picture: &Picture) -> Vec<String> {
    picture.canvas.labels().iter().map(|label| label.text().to_owned()).collect()
}

fn picture(spec: &Spec, cure: Option<&Cure>, van: &Van) -> Picture {
    Picture::of(&Scene::of(spec, cure, van).unwrap(), "p")
}

#[test]
fn a_wheel_stands_where_its_offset_puts_it() {
    // 8 in: 203.2 mm between the flanges, 228.6 mm over all. ET45: the center 45 mm behind the face.
    let drawn = Measured::of(&section(&wheel(17.0, 8.0, 45.0), None, &usual(), "p").unwrap());
    let [left, right, _, top] = drawn.extent("rim");
    near(left, -45.0 - 114.3);
    near(right, -45.0 + 114.3);
    near(top, 17.0 * 25.4 / 2.0 + 17.0);
    near(drawn.upright("street-limit"), 118.0);
    near(drawn.upright("van-limit"), -196.0);
    near(drawn.upright("face"), 0.0);
    // Stock: 6.5 in, ET62; under it 235/65R16C, 235.24 mm wide on that rim and 712 mm high.
    let [left, right, _, top] = drawn.extent("stock");
    near(left, -62.0 - 117.62);
    near(right, -62.0 + 117.62);
    near(top, 356.0);
    // The disc's mounting face is the hub face.
    near(drawn.extent("disc")[3], 17.0 * 12.7 - 27.0);
    assert!(drawn.extent("hub")[1] > 0.0 && !drawn.has("spacer"));
}

#[test]
fn what_is_left_beside_a_wheel_is_told_in_both_units() {
    let told = words(&picture(&wheel(17.0, 8.0, 45.0), None, &usual()));
    // 118 - (114.3 - 45) and 196 - (114.3 + 45).
    for text in [
        "rim 8 in (203.2 mm)",
        "offset 45 mm (1.77 in)",
        "street side: 48.7 mm (1.92 in) left",
        "van side: 36.7 mm (1.44 in) left",
    ] {
        assert!(told.iter().any(|label| label == text), "{text} in {told:?}");
    }
    let told = words(&picture(&wheel(17.0, 9.0, -20.0), None, &usual()));
    // 127 + 20 is 29 mm beyond 118.
    assert!(told.iter().any(|label| label == "street side: 29 mm (1.14 in) too far"), "{told:?}");
    assert!(told.iter().any(|label| label == "offset -20 mm (-0.79 in)"), "{told:?}");
}

#[test]
fn a_wheel_is_drawn_with_its_work_done() {
    let (spec, van) = (wheel(16.0, 7.0, 68.0), usual());
    let drawn = Measured::of(&section(&spec, Some(&cure(0)), &van, "p").unwrap());
    // 7 in: 203.2 mm over all; ET68 less the spacer's 20 mm is ET48.
    let [left, right, ..] = drawn.extent("rim");
    near(left, -48.0 - 101.6);
    near(right, -48.0 + 101.6);
    let [left, right, ..] = drawn.extent("spacer");
    near(left, 0.0);
    near(right, 20.0);
    let told = words(&picture(&spec, Some(&cure(0)), &van));
    assert!(told.iter().any(|label| label == "offset 48 mm (1.89 in), moved out 20 mm"), "{told:?}");
}

#[test]
fn a_wheel_wholly_behind_the_hub_face_is_told_as_such() {
    let spec = wheel(16.0, 6.0, 130.0);
    // 6 in: 88.9 mm to either side; its outer edge ends 41.1 mm behind the face.
    let drawn = Measured::of(&section(&spec, None, &bare(), "p").unwrap());
    near(drawn.extent("rim")[1], -41.1);
    let told = words(&picture(&spec, None, &bare()));
    assert!(
        told.iter().any(|label| label == "street side: ends 41.1 mm (1.62 in) behind the hub face"),
        "{told:?}"
    );
    let told = words(&picture(&spec, None, &usual()));
    assert!(told.iter().any(|label| label == "street side: 159.1 mm (6.26 in) left"), "{told:?}");
    // 88.9 + 130 is 22.9 mm beyond 196.
    assert!(told.iter().any(|label| label == "van side: 22.9 mm (0.9 in) too far"), "{told:?}");
}

#[test]
fn a_limit_that_the_van_does_not_state_is_not_drawn() {
    let svg = section(&wheel(17.0, 8.0, 45.0), None, &bare(), "p").unwrap();
    let drawn = Measured::of(&svg);
    for is in ["street-limit", "van-limit", "diameter-limit", "stock"] {
        assert!(!drawn.has(is), "{is}");
    }
    let told = words(&picture(&wheel(17.0, 8.0, 45.0), None, &bare()));
    assert!(told.iter().any(|label| label == "street side: reaches 69.3 mm (2.73 in)"), "{told:?}");
    assert!(told.iter().all(|label| !label.contains("left") && !label.contains("stock")), "{told:?}");
}

#[test]
fn nothing_is_drawn_of_a_part_that_is_not_known() {
    let van = usual();
    for missing in [Field::WheelRimDiameter, Field::WheelRimWidth, Field::WheelOffset] {
        let mut spec = wheel(17.0, 8.0, 45.0);
        spec.put(missing, Fact::missing(None));
        assert_eq!(section(&spec, None, &van, "p"), None, "{missing:?}");
    }
    for missing in [Field::TireOverallDiameter, Field::TireRimDiameter, Field::TireSectionWidth] {
        let mut spec = tire(235, 65, 16, 712.0);
        spec.put(missing, Fact::missing(None));
        assert_eq!(section(&spec, None, &van, "p"), None, "{missing:?}");
    }
    assert_eq!(section(&wheel(17.0, 0.0, 45.0), None, &van, "p"), None);
    assert_eq!(section(&tire(235, 65, 16, 300.0), None, &van, "p"), None, "smaller than its rim");
    let mut spec = wheel(17.0, 8.0, 45.0);
    spec.put(Field::WheelOffset, Fact::missing(None));
    assert_eq!(offset_strip(&spec, None, &van, "p"), None);
    assert_eq!(offset_strip(&wheel(17.0, 8.0, 45.0), None, &bare(), "p"), None, "no window");
    assert_eq!(offset_strip(&tire(235, 65, 16, 712.0), None, &van, "p"), None, "a tire has no offset");
}

#[test]
fn a_tire_stands_on_the_stock_wheel_that_takes_it() {
    // 245/75R16 on 6.5 in: 245 + 0.4 x (177.8 - 171.5) on its 7 in, less 0.4 x 12.7.
    let section_on_rim = 245.0 + 0.4 * (177.8 - 0.7 * 245.0) - 0.4 * 12.7;
    let svg = section(&tire(245, 75, 16, 774.0), None, &usual(), "p").unwrap();
    let drawn = Measured::of(&svg);
    let [left, right, _, top] = drawn.extent("tire");
    near(left, -62.0 - section_on_rim / 2.0);
    near(right, -62.0 + section_on_rim / 2.0);
    near(top, 387.0);
    let [.., bottom, limit] = drawn.extent("diameter-limit");
    near(bottom, 395.0);
    near(limit, 395.0);
    let told = words(&picture(&tire(245, 75, 16, 774.0), None, &usual()));
    // 118 - (121.22 - 62) and 196 - (121.22 + 62), 790 - 774.
    for text in [
        "street side: 58.8 mm (2.31 in) left",
        "van side: 12.8 mm (0.5 in) left",
        "16 mm (0.63 in) of the diameter left",
    ] {
        assert!(told.iter().any(|label| label == text), "{text} in {told:?}");
    }
}

#[test]
fn a_tire_that_the_stock_wheel_does_not_take_stands_by_itself() {
    for spec in [tire(245, 70, 17, 776.0), {
        let mut wide = tire(285, 75, 16, 834.0);
        wide.put(Field::TireRimWidthMin, Fact::derived(inches(7.5)));
        wide
    }] {
        let drawn = Measured::of(&section(&spec, None, &usual(), "p").unwrap());
        assert!(!drawn.has("hub") && !drawn.has("face"));
        let [left, right, ..] = drawn.extent("tire");
        near(left + right, 0.0);
        // Half of 275 mm to either side.
        near(drawn.upright("street-limit"), 137.5);
        near(drawn.upright("van-limit"), -137.5);
        let told = words(&picture(&spec, None, &usual()));
        assert!(told.iter().all(|label| !label.contains("side")), "{told:?}");
    }
    let told = words(&picture(&tire(285, 75, 17, 834.0), None, &usual()));
    assert!(told.iter().any(|label| label == "44 mm (1.73 in) of the diameter too much"), "{told:?}");
    assert!(told.iter().any(|label| label == "10 mm (0.39 in) of the width too much"), "{told:?}");
    // With the liner trimmed, 834 mm are still 19 mm too much.
    let told = words(&picture(&tire(285, 75, 17, 834.0), Some(&cure(1)), &usual()));
    assert!(told.iter().any(|label| label == "19 mm (0.75 in) of the diameter too much"), "{told:?}");
}

/// Asserts that no label meets another or leaves the drawing.
fn apart(canvas: &Canvas, of: &str) {
    let labels = canvas.labels();
    let (width, height) = canvas.size();
    for (at, one) in labels.iter().enumerate() {
        let [left, top, right, bottom] = one.room();
        let inside = left >= 0.0 && top >= 0.0 && right <= width && bottom <= height;
        assert!(inside, "{of}: `{}` leaves the drawing: {:?}", one.text(), one.room());
        for other in &labels[at + 1..] {
            let room = other.room();
            let meet = left < room[2] && room[0] < right && top < room[3] && room[1] < bottom;
            assert!(!meet, "{of}: `{}` meets `{}`", one.text(), other.text());
        }
    }
}

#[test]
fn labels_never_meet() {
    let twin = van(
        "[van.stock]\nwheel = \"5.5x16 ET115\"\ntire = \"205/75R16C 113/111R\"",
        "tire_diameter = \"750 mm\"\noffset = [\"105 mm\", \"106 mm\"]",
    );
    let vans = [usual(), bare(), twin];
    let mut seen = 0;
    for van in &vans {
        for diameter in [13.0, 16.0, 17.0, 22.5] {
            for half_inches in 8..=28 {
                for offset in (-150..=150).step_by(15) {
                    let spec = wheel(diameter, f64::from(half_inches) / 2.0, f64::from(offset) + 0.25);
                    for cure in [None, Some(cure(0))] {
                        let of = format!("{diameter} {half_inches} {offset} {} {}", cure.is_some(), van.id);
                        apart(&picture(&spec, cure.as_ref(), van).canvas, &of);
                        seen += 1;
                    }
                }
            }
        }
        for rim in [15, 16, 17, 20] {
            for width in (165..=325).step_by(20) {
                for diameter in (600..=960).step_by(9) {
                    let diameter = f64::from(diameter) + 0.75;
                    let of = format!("tire {width} {rim} {diameter} {}", van.id);
                    apart(&picture(&tire(width, 65, rim, diameter), None, van).canvas, &of);
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 10_000);
}

#[test]
fn labels_of_strips_never_meet() {
    for (least, most) in
        [(Some(30.0), Some(62.0)), (Some(30.0), Some(30.5)), (Some(1215.0), None), (None, Some(790.0))]
    {
        for stock in [None, Some(62.0), Some(-900.0), Some(5000.0)] {
            for values in [vec![45.0], vec![0.0, 30.25, 61.0, 1e6], vec![-1e6, -1e5], vec![1e6, 1e7]] {
                let base = |value: f64| Unit::Mm.to_base(value);
                let mark =
                    |value: &f64| Mark { value: base(*value), standing: Standing::Beyond, count: 100_000 };
                let strip = Strip {
                    title: String::new(),
                    unit: Unit::Mm,
                    least: least.map(base),
                    most: most.map(base),
                    stock: stock.map(base),
                    marks: values.iter().map(mark).collect(),
                };
                let canvas = strip.canvas().unwrap();
                apart(&canvas, &format!("{least:?} {most:?} {stock:?} {values:?}"));
            }
        }
    }
}

#[test]
fn a_strip_is_a_scale() {
    let kg = |mass: f64| Unit::Kg.to_base(mass);
    let mark = |mass, standing, count| Mark { value: kg(mass), standing, count };
    let strip = Strip {
        title: "Load".to_owned(),
        unit: Unit::Kg,
        least: Some(kg(1200.0)),
        most: Some(kg(1600.0)),
        stock: Some(kg(1450.0)),
        marks: vec![
            mark(100.0, Standing::Beyond, 7),
            mark(1150.0, Standing::Near, 1),
            mark(1300.0, Standing::Within, 4),
            mark(1500.0, Standing::Within, 2),
        ],
    };
    let svg = strip.svg("p").unwrap();
    let elements = elements(&svg);
    let x = |is: &str| places_of_upright(named(&elements, is).unwrap());
    let window = named(&elements, "window").unwrap();
    let (left, width) = (number(window, "x"), number(window, "width"));
    // Every place lies where its share of the way from 1200 to 1600 kg puts it.
    let at = |mass: f64| left + width * (mass - 1200.0) / 400.0;
    for (is, mass) in [("near", 1150.0), ("within", 1300.0), ("stock", 1450.0), ("limit", 1200.0)] {
        assert!((x(is) - at(mass)).abs() < 0.36, "{is}: {} is not {}", x(is), at(mass));
    }
    // 100 kg is off the scale: counted, not drawn.
    assert!(named(&elements, "beyond").is_none());
    assert!(svg.contains("7 further"));
    assert_eq!(elements.iter().filter(|(name, _)| name == "circle").count(), 1, "one ring, on the near miss");
    assert!(svg.contains(
        "From 1200 kg (2646 lb) to 1600 kg (3527 lb) is allowed; stock is 1450 kg (3197 lb); \
         6 within, 0 that work cures, 1 missing it by little, 7 further off."
    ));
}

fn places_of_upright(path: &Element) -> f64 {
    let steps = attribute(path, "d");
    steps.trim_start_matches('M').split(' ').next().unwrap().parse().unwrap()
}

#[test]
fn an_offset_strip_shows_the_offset_with_its_work_done() {
    let svg = offset_strip(&wheel(16.0, 7.0, 68.0), Some(&cure(0)), &usual(), "p").unwrap();
    assert!(svg.contains("this part has 48 mm (1.89 in), within"));
    let svg = offset_strip(&wheel(16.0, 7.0, 68.0), None, &usual(), "p").unwrap();
    assert!(svg.contains("this part has 68 mm (2.68 in), beyond"));
    assert!(svg.contains("stock is 62 mm (2.44 in)"));
    let svg = offset_strip(&wheel(16.0, 7.0, -20.0), None, &usual(), "p").unwrap();
    assert!(svg.contains("this part has -20 mm (-0.79 in), beyond"));
}

#[test]
fn a_strip_without_limit_or_figure_is_none() {
    let empty = Strip {
        title: String::new(),
        unit: Unit::Kg,
        least: None,
        most: None,
        stock: None,
        marks: vec![Mark { value: 1.0, standing: Standing::Within, count: 1 }],
    };
    assert_eq!(empty.svg("p"), None);
    assert_eq!(Strip { least: Some(1.0), marks: Vec::new(), ..empty.clone() }.svg("p"), None);
    assert!(Strip { least: Some(1.0), ..empty }.svg("p").is_some());
}

#[test]
fn identifiers_begin_with_the_prefix_and_all_that_is_named_is_there() {
    for svg in [
        section(&wheel(17.0, 8.0, 45.0), None, &usual(), "w7").unwrap(),
        offset_strip(&wheel(17.0, 8.0, 45.0), None, &usual(), "w7").unwrap(),
    ] {
        let elements = elements(&svg);
        let ids: Vec<&str> = elements
            .iter()
            .flat_map(|(_, all)| all.iter().filter(|(key, _)| key == "id").map(|(_, value)| value.as_str()))
            .collect();
        assert!(!ids.is_empty() && ids.iter().all(|id| id.starts_with("w7-")), "{ids:?}");
        let root = &elements[0];
        for name in ["aria-labelledby", "aria-describedby"] {
            assert!(ids.contains(&attribute(root, name)), "{name}");
        }
        for (_, all) in &elements {
            for (_, value) in all.iter().filter(|(_, value)| value.starts_with("url(#")) {
                assert!(ids.contains(&value.trim_start_matches("url(#").trim_end_matches(')')), "{value}");
            }
            assert!(all.iter().all(|(key, _)| key != "style" && !key.starts_with("on")));
        }
    }
}

#[test]
fn words_of_others_stay_words() {
    let mut spec = tire(235, 65, 16, 712.0);
    // A size that cannot be used is shown as the supplier wrote it.
    let hostile = Fact {
        state: crate::facts::fact::State::Unreadable("".into()),
        text: "\"/><script>alert(1)</script>".into(),
        ..Fact::missing(None)
    };
    spec.put(Field::TireSize, hostile);
    let svg = section(&spec, None, &usual(), "p").unwrap();
    assert!(!svg.contains("<script") && svg.contains("&lt;script&gt;"));
    assert!(svg.contains("Brisk &lt;A1&gt; &amp; sons"));
    assert!(elements(&svg).iter().all(|(name, _)| name != "script"));
}

//! What must hold for the text of any cell, whichever notation reader it is put to.
//!
//! No reader panics, a figure that was read is a number, its place lies in the text, and what was read
//! reads the same when it is written out plainly.

use std::ops::Range;

use rimsieve::notation::number::{DecimalMark, decimal_evidence};
use rimsieve::notation::quantity::{
    LengthUnit, MassUnit, PressureUnit, QuantityUnit, Reading, UnitFrom, length, length_from_number,
    length_range, mass, mass_pair, pressure,
};
use rimsieve::notation::service::{ServiceDescription, Strength};
use rimsieve::notation::wheel::{WheelPiece, WheelSize};
use rimsieve::notation::{Unread, date, mark, money, offset, pattern, seat, service, text, tire, wheel};
use rimsieve::trade::bolt_circle::Drilling;
use rimsieve::trade::bounds::{self, Bounds};
use rimsieve::trade::quantity::{Length, Mass, Pressure};
use rimsieve::trade::seat::Seat;

const DECIMALS: [Option<DecimalMark>; 3] = [None, Some(DecimalMark::Point), Some(DecimalMark::Comma)];
const LENGTHS: [Option<LengthUnit>; 4] =
    [None, Some(LengthUnit::Mm), Some(LengthUnit::Cm), Some(LengthUnit::Inch)];
const MASSES: [Option<MassUnit>; 3] = [None, Some(MassUnit::Kg), Some(MassUnit::Lb)];
const PRESSURES: [Option<PressureUnit>; 3] = [None, Some(PressureUnit::Psi), Some(PressureUnit::Bar)];

/// That every reader keeps its promises on a text.
pub(crate) fn holds(text: &str) {
    for decimal in DECIMALS {
        lengths(text, decimal);
        masses_and_pressures(text, decimal);
        wheels(text, decimal);
        prices(text, decimal);
    }
    words(text);
    tires(text);
    if let Some(evidence) = decimal_evidence(text) {
        assert!(text.chars().any(|c| c.is_ascii_digit() || c.is_numeric()), "{evidence:?} of {text:?}");
    }
    assert!(
        !(text::looks_like_date(text) && tire::tire(text).is_ok_and(|read| read.span == (0..text.len())))
    );
}

fn stands_in(text: &str, span: &Range<usize>) {
    assert!(text.get(span.clone()).is_some_and(|part| !part.is_empty()), "{span:?} of {text:?}");
}

/// What holds for a figure: it is a number, it stands in the text, and a unit that nothing states was taken
/// only for a possible figure.
fn figure<U: QuantityUnit>(text: &str, read: &Reading<U>, base: f64, bounds: Option<&Bounds<U::Quantity>>)
where
    U::Quantity: PartialOrd + Copy,
{
    assert!(base.is_finite() && base.fract() == 0.0, "{text:?} gives {base} base units");
    stands_in(text, &read.span);
    if read.unit_from == UnitFrom::OnlyPossible
        && let Some(bounds) = bounds
    {
        assert!(bounds.contains(read.value), "{text:?} gives {base}, taken for a {}", bounds.name());
    }
}

/// A count of base units with all its decimals, `84.100000` for 84 100 000 nm in mm.
fn exact(base: f64, decimals: usize) -> String {
    let sign = if base < 0.0 { "-" } else { "" };
    let digits = format!("{:0>width$}", base.abs() as u64, width = decimals + 1);
    let (whole, part) = digits.split_at(digits.len() - decimals);
    format!("{sign}{whole}.{part}")
}

fn mm(length: Length) -> String {
    exact(length.base(), 6)
}

fn kg(mass: Mass) -> String {
    exact(mass.base(), 9)
}

fn lengths(text: &str, decimal: Option<DecimalMark>) {
    for hint in LENGTHS {
        for range in [&bounds::CENTER_BORE, &bounds::BACK_SPACING, &bounds::OVERALL_DIAMETER] {
            let Ok(read) = length(text, hint, range, decimal) else { continue };
            figure(text, &read, read.value.base(), Some(range));
            assert!(read.value.base() >= 0.0, "{text:?} gives {:?}", read.value);
            if range.contains(read.value) {
                let plain = format!("{} mm", mm(read.value));
                let again = length(&plain, hint, range, decimal);
                assert_eq!(again.map(|again| again.value), Ok(read.value), "{text:?} as {plain:?}");
            }
        }
        if let Ok(read) = pattern::bolt_circle(text, hint, decimal) {
            figure(text, &read, read.value.base(), Some(&bounds::BOLT_CIRCLE));
        }
        if let Ok(read) = length_range(text, hint, &bounds::RIM_WIDTH, decimal) {
            figure(text, &read.least, read.least.value.base(), Some(&bounds::RIM_WIDTH));
            figure(text, &read.greatest, read.greatest.value.base(), Some(&bounds::RIM_WIDTH));
            assert!(read.least.value <= read.greatest.value, "{text:?} gives {read:?}");
        }
        if let Ok(read) = offset::offset(text, hint, decimal) {
            figure(text, &read, read.value.base(), Some(&bounds::OFFSET));
            if bounds::OFFSET.contains(read.value) {
                let plain = format!("{} mm", mm(read.value));
                let again = offset::offset(&plain, hint, decimal);
                assert_eq!(again.map(|again| again.value), Ok(read.value), "{text:?} as {plain:?}");
            }
        }
        for read in [wheel::rim_width(text, hint, decimal), wheel::rim_diameter(text, hint, decimal)]
            .into_iter()
            .flatten()
        {
            figure(text, &read, read.value.base(), None);
        }
    }
    if let Ok(number) = text.trim().parse::<f64>()
        && let Ok(read) = length_from_number(number, None, &bounds::CENTER_BORE)
    {
        assert!(bounds::CENTER_BORE.contains(read.value), "{number} gives {:?}", read.value);
    }
}

fn masses_and_pressures(text: &str, decimal: Option<DecimalMark>) {
    for hint in MASSES {
        if let Ok(read) = mass(text, hint, &bounds::WHEEL_RATING, decimal) {
            figure(text, &read, read.value.base(), None);
            assert!(read.unit_from != UnitFrom::OnlyPossible, "{text:?} was given {:?}", read.unit);
            assert!(hint.is_some() || read.unit_from == UnitFrom::Cell, "{text:?} was given {:?}", read.unit);
            if bounds::WHEEL_RATING.contains(read.value) {
                let plain = format!("{} kg", kg(read.value));
                let again = mass(&plain, hint, &bounds::WHEEL_RATING, decimal);
                assert_eq!(again.map(|again| again.value), Ok(read.value), "{text:?} as {plain:?}");
            }
        }
        if let Ok(pair) = mass_pair(text, hint, &bounds::TIRE_LOAD, decimal) {
            figure(text, &pair.single, pair.single.value.base(), None);
            if let Some(dual) = &pair.dual {
                figure(text, dual, dual.value.base(), None);
                assert!(dual.value <= pair.single.value, "{text:?} gives {pair:?}");
            }
        }
    }
    for hint in PRESSURES {
        if let Ok(read) = pressure(text, hint, &bounds::MAX_PRESSURE, decimal) {
            figure(text, &read, read.value.base(), None);
            assert!(hint.is_some() || read.unit_from == UnitFrom::Cell, "{text:?} was given {:?}", read.unit);
            if bounds::MAX_PRESSURE.contains(read.value) {
                let plain = format!("{} kPa", read.value.base() as u64 / 1000);
                let whole = Pressure::from_kpa((read.value.base() / 1000.0).floor());
                let again = pressure(&plain, hint, &bounds::MAX_PRESSURE, decimal);
                assert_eq!(again.map(|again| again.value), Ok(whole), "{text:?} as {plain:?}");
            }
        }
    }
}

fn drilling(text: &str, read: Drilling) {
    assert!((3..=10).contains(&read.holes), "{text:?} gives {read}");
    assert!(bounds::BOLT_CIRCLE.contains(read.circle), "{text:?} gives {read}");
    let plain = format!("{}x{} mm", read.holes, mm(read.circle));
    let again = pattern::bolt_patterns(&plain, None);
    let again = again.map(|found| found.into_iter().map(|one| one.drilling).collect());
    assert_eq!(again, Ok(vec![read]), "{text:?} as {plain:?}");
}

fn wheel_size(text: &str, read: &WheelSize) {
    stands_in(text, &read.span);
    assert!(bounds::RIM_DIAMETER.contains(read.diameter), "{text:?} gives {read:?}");
    assert!(bounds::RIM_WIDTH.contains(read.width), "{text:?} gives {read:?}");
    let plain = format!("{:.6}J x {:.6}", read.width.inches(), read.diameter.inches());
    let again = wheel::wheel_size(&plain, None);
    // Millionths of an inch are some 25 nm.
    let near = |one: Length, other: Length| (one - other).abs() <= Length::from_base(26.0);
    let same = |again: &WheelSize| near(again.width, read.width) && near(again.diameter, read.diameter);
    assert!(again.as_ref().is_ok_and(same), "{text:?} gives {read:?}; {plain:?} gives {again:?}");
}

fn wheels(text: &str, decimal: Option<DecimalMark>) {
    if let Ok(read) = wheel::wheel_size(text, decimal) {
        wheel_size(text, &read);
    }
    if let Ok(found) = pattern::bolt_patterns(text, decimal) {
        assert!(!found.is_empty(), "{text:?} gives a list of no patterns");
        for one in &found {
            stands_in(text, &one.span);
            drilling(text, one.drilling);
        }
    }
    let mixed = wheel::wheel_mixed(text, decimal);
    let mut spans: Vec<Range<usize>> = mixed.left_over.clone();
    for piece in &mixed.pieces {
        spans.push(piece.span());
        match piece {
            WheelPiece::Size(read) => wheel_size(text, read),
            WheelPiece::Offset(read) => figure(text, read, read.value.base(), Some(&bounds::OFFSET)),
            WheelPiece::CenterBore(read) => figure(text, read, read.value.base(), Some(&bounds::CENTER_BORE)),
            WheelPiece::Drilling(read) => drilling(text, read.drilling),
        }
    }
    apart(text, spans);
}

/// That stretches stand in the text and none lies over another.
fn apart(text: &str, mut spans: Vec<Range<usize>>) {
    spans.sort_by_key(|span| (span.start, span.end));
    for span in &spans {
        stands_in(text, span);
    }
    for pair in spans.windows(2) {
        assert!(pair[0].end <= pair[1].start, "{pair:?} of {text:?}");
    }
}

fn prices(text: &str, decimal: Option<DecimalMark>) {
    let Ok(read) = money::money(text, decimal) else { return };
    let plain = format!("{} {}", read.amount, read.currency.map_or("", money::Currency::code));
    assert_eq!(money::money(&plain, Some(DecimalMark::Point)), Ok(read), "{text:?} as {plain:?}");
    assert!(!plain.starts_with('-'), "{text:?} gives {plain}");
}

/// Seats, marks, counts and dates.
fn words(text: &str) {
    if let Ok(read) = seat::seat(text) {
        let plain = read.to_string();
        assert_eq!(seat::seat(&plain), Ok(read), "{text:?} as {plain:?}");
        assert_eq!(plain.parse::<Seat>(), Ok(read), "{text:?} as {plain:?}");
    }
    if let Ok(count) = pattern::holes(text) {
        assert!((3..=10).contains(&count), "{text:?} gives {count}");
    }
    if let Ok(aspect) = tire::aspect(text) {
        assert_eq!(tire::aspect(&aspect.to_string()), Ok(aspect), "{text:?}");
    }
    if let Ok(marks) = mark::markings(text) {
        for one in marks {
            assert_eq!(mark::markings(&one.to_string()), Ok(vec![one]), "{text:?}");
        }
    }
    if let Ok(marks) = mark::snow_marks(text) {
        assert!(marks.three_peak.is_some() || marks.mud_snow.is_some(), "{text:?} gives {marks:?}");
    }
    // A beadlock column is a column of flags with words of its own.
    if let (Ok(flag), Ok(beadlock)) = (mark::flag(text), mark::beadlock(text)) {
        assert_eq!(flag, beadlock, "{text:?}");
    }
    if let Ok(monday) = date::date_code(text) {
        let week = monday.iso_week_date();
        let plain = format!("W{} {}", week.week(), week.year());
        assert_eq!(date::date_code(&plain), Ok(monday), "{text:?} as {plain:?}");
    }
}

fn description(text: &str, read: ServiceDescription) {
    let Some(single) = read.single else { return };
    assert!(read.dual.is_none_or(|dual| dual <= single), "{text:?} gives {read:?}");
    let dual = read.dual.map_or(String::new(), |dual| format!("/{dual}"));
    let plain = format!("{single}{dual}{}", read.speed.map_or("", |speed| speed.text()));
    let again = if read.speed.is_some() {
        service::service_description(&plain)
    } else {
        service::load_indices(&plain)
    };
    assert_eq!(again, Ok(read), "{text:?} as {plain:?}");
}

fn tires(text: &str) {
    if let Ok(read) = tire::tire(text) {
        stands_in(text, &read.span);
        apart(text, read.left_over.iter().cloned().chain(read.service_span.clone()).collect());
        assert!(text.get(read.before.clone()).is_some(), "{:?} of {text:?}", read.before);
        assert!(read.before.end <= read.span.start, "{:?} of {text:?}", read.before);
        description(text, read.service);
        let plain = read.size.to_string();
        let again = tire::tire(&plain);
        assert_eq!(again.as_ref().map(|again| again.size), Ok(read.size), "{text:?} as {plain:?}");
        assert!(again.is_ok_and(|again| again.left_over.is_empty()), "{text:?} as {plain:?}");
        assert!(matches!(read.service_kind(), Ok(_) | Err(Unread::ServiceNotStated)), "{text:?}");
    }
    for read in [service::service_description(text), service::load_indices(text)].into_iter().flatten() {
        description(text, read);
    }
    match service::strength(text) {
        Ok(Strength::Range(range)) => {
            let plain = format!("LR{range}");
            assert_eq!(service::strength(&plain), Ok(Strength::Range(range)), "{text:?} as {plain:?}");
        }
        Ok(Strength::Ply(ply)) => {
            let plain = format!("{ply}PR");
            assert_eq!(service::strength(&plain), Ok(Strength::Ply(ply)), "{text:?} as {plain:?}");
        }
        Ok(Strength::ExtraLoad | Strength::StandardLoad) | Err(_) => {}
    }
    if let Ok(symbol) = service::speed_symbol(text) {
        assert_eq!(service::speed_symbol(symbol.text()), Ok(symbol), "{text:?}");
    }
    if let (Ok(construction), Ok(again)) = (tire::construction(text), tire::construction(text.trim())) {
        assert_eq!(construction, again, "{text:?}");
    }
    if let Ok(kind) = service::service_word(text) {
        assert_eq!(service::service_word(&text.to_ascii_uppercase()), Ok(kind), "{text:?}");
    }
}

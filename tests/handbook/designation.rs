//! A strict reader of the designations the handbook uses. It knows no other spelling than the
//! canonical one and proves that by showing what it read.

use rimsieve::trade::tire::{Construction, RimCode, Service, Size, Suffix};

/// The size that shows as exactly this text.
pub(crate) fn size(text: &str) -> Size {
    let (service, rest) = match text.strip_prefix("LT") {
        Some(rest) => (Service::Lt, rest),
        None => (Service::Unmarked, text),
    };
    let (before, after) = rest.split_once('R').expect(text);
    let (rim, suffix) = match (after.strip_suffix("LT"), after.strip_suffix('C')) {
        (Some(rim), _) => (rim, Suffix::Lt),
        (None, Some(rim)) => (rim, Suffix::C),
        (None, None) => (after, Suffix::None),
    };
    let rim = RimCode::from_tenths(rim.parse::<u16>().expect(text) * 10);
    let construction = Construction::Radial;
    let size = if let Some((diameter, width)) = before.split_once('x') {
        let diameter_hundredths = diameter.parse::<u16>().expect(text) * 100;
        let width_hundredths = width.replace('.', "").parse().expect(text);
        Size::Flotation { diameter_hundredths, width_hundredths, construction, rim, suffix }
    } else {
        let (width, aspect) = before.split_once('/').map_or((before, None), |(w, a)| (w, Some(a)));
        let width_mm = width.parse().expect(text);
        let aspect = aspect.map(|aspect| aspect.parse().expect(text));
        Size::Metric { service, width_mm, aspect, construction, rim, suffix }
    };
    assert_eq!(size.to_string(), text, "the designation reads back");
    size
}

/// The indices and the symbol of a service description such as `121/120R`, `109H` or `116/114`.
pub(crate) fn service(text: &str) -> (u16, Option<u16>, &str) {
    let end = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let (indices, symbol) = text.split_at(end);
    let (single, dual) = indices.split_once('/').map_or((indices, None), |(s, d)| (s, Some(d)));
    let dual = dual.map(|index| index.parse().expect(text));
    (single.parse().expect(text), dual, symbol)
}

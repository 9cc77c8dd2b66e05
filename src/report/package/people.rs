//! Packages as a quote reads: what it is, what it takes, how it stands on the van, what to buy.

use std::io::{self, Write};

use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::Part;
use crate::facts::value::Unit;
use crate::judge::eval::number;
use crate::judge::pairing::Package;
use crate::judge::{CautionAbout, Finding, Judgement, VerdictKind};
use crate::plan::Styling;
use crate::quote::{
    AxleQuote, Fasteners, Limit, PressureQuote, PriceGap, Quote, ROTATION_MILES, SOFT_GROUND_PSI, Spare,
};
use crate::report::package::{Offer, judged};
use crate::report::page::{Page, Side};
use crate::report::record::money;
use crate::report::words::{CAUTIONS, description, place, verdict_words};
use crate::trade::axle::Fitment;
use crate::trade::inflation::{Need, ten_kpa_up, whole_psi_up};
use crate::trade::quantity::{Length, Pressure};
use crate::van::Van;

/// Writes the packages of a van as quotes.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(
    judgement: &Judgement<'_>,
    van: &Van,
    offer: &Offer<'_>,
    styling: Styling,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut page = Page::new(styling);
    page.heading(&format!("{} ({}): wheels and tires together", van.name, van.id));
    summary(&mut page, judgement, offer);
    for (at, (package, quote)) in offer.pairing.listed.iter().zip(&offer.quotes).enumerate() {
        self::package(&mut page, judgement, at + 1, package, quote, offer.care);
    }
    page.gap();
    page.line(0, CAUTIONS);
    out.write_all(page.into_text().as_bytes())
}

/// Writes to the side what the machine form leaves out: how many pairs there were, and what stops
/// most of them where there is no package.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_aside(judgement: &Judgement<'_>, offer: &Offer<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(Styling::Plain);
    summary(&mut page, judgement, offer);
    out.write_all(page.into_text().as_bytes())
}

fn summary(page: &mut Page, judgement: &Judgement<'_>, offer: &Offer<'_>) {
    let pairing = offer.pairing;
    let [fits, with_work, unproven, rejected] = pairing.counts;
    let pairs: u64 = pairing.counts.iter().sum();
    page.line(
        0,
        &format!(
            "{} of one rim: {fits} fit, {with_work} fit with work, {unproven} unproven, {rejected} do not fit. \
             {} of different or unknown rims were not looked at.",
            pairs_words(pairs),
            pairs_words(pairing.other_rims),
        ),
    );
    if fits + with_work + unproven == 0 {
        let stops = pairing.stopping.first().and_then(|(rule, pairs)| Some((judgement.rule(*rule)?, pairs)));
        let told = match stops {
            Some((rule, pairs)) => {
                format!(
                    "There is no package. The rule that stops most pairs is {} ({}).",
                    rule.name,
                    pairs_words(*pairs)
                )
            }
            None => "There is no package: no wheel and tire are for the same rim.".to_owned(),
        };
        page.line(0, &told);
        return;
    }
    let listed = offer.quotes.len();
    if (listed as u64) < fits + with_work + unproven {
        let follow =
            if listed == 1 { "The best one follows".to_owned() } else { format!("The best {listed} follow") };
        page.line(0, &format!("{follow}; --best N shows more."));
    }
}

fn pairs_words(pairs: u64) -> String {
    if pairs == 1 { "1 pair".to_owned() } else { format!("{pairs} pairs") }
}

/// Tells one package.
pub(super) fn package(
    page: &mut Page,
    judgement: &Judgement<'_>,
    at: usize,
    package: &Package,
    quote: &Quote<'_>,
    care: bool,
) {
    let finding = &package.finding;
    let total =
        quote.shopping.total.map_or_else(String::new, |total| format!(", {}", priced(quote, &money(total))));
    page.heading(&format!(
        "{at}. {} with {}: {}{total}",
        quote.wheel.sku,
        quote.tire.sku,
        verdict_words(finding.kind())
    ));
    let mut rows: Vec<[String; 2]> = Vec::new();
    let mut row = |what: &str, told: String| rows.push([what.to_owned(), told]);
    for (word, part) in [("wheel", quote.wheel), ("tire", quote.tire)] {
        row(word, part_words(judgement, part));
    }
    for (word, told) in verdict_rows(judgement, finding, quote) {
        row(word, told);
    }
    if let Some(told) = beside_stock(quote) {
        row("beside stock", told);
    }
    if let Some(told) = room_left(quote) {
        row("room left", told);
    }
    for axle in &quote.axles {
        row(&format!("{} axle", axle.axle.name()), axle_words(axle));
        row("", pressure_words(axle, quote));
    }
    if let Some(fasteners) = &quote.fasteners {
        row("fasteners", fasteners_words(fasteners, quote));
    }
    if let Some(spare) = quote.spare {
        row("spare", spare_words(spare, quote));
    }
    let rows: Vec<Vec<String>> = rows.into_iter().map(Vec::from).collect();
    page.table(2, &[Side::Left, Side::Left], &rows);
    shopping(page, quote);
    cautions(page, quote, finding);
    if care {
        page.gap();
        page.line(2, "For the customer's glove box");
        for line in care_lines(quote) {
            page.hanging(2, 4, &format!("- {line}"));
        }
    }
}

fn part_words(judgement: &Judgement<'_>, part: &Part<'_>) -> String {
    let what = judgement.spec(part).map_or_else(String::new, description);
    let place = place(judgement, part);
    let told = [part.supplier, part.name, what.as_str(), place.as_str()];
    told.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", ")
}

/// What fails or was cured, what cannot be shown, and the work.
fn verdict_rows(
    judgement: &Judgement<'_>,
    finding: &Finding,
    quote: &Quote<'_>,
) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    let rejected = finding.kind() == VerdictKind::Rejected;
    for reason in finding.reasons() {
        rows.push((if rejected { "does not fit" } else { "as it is" }, reason.says.to_string()));
    }
    let judged = judged(judgement, quote);
    let mut told: Vec<String> = Vec::new();
    for gap in finding.gaps() {
        let cell = gap
            .field
            .and_then(|field| judged.cell(field))
            .map_or_else(String::new, |cell| format!(" ({cell})"));
        let whose = gap.field.map_or("", |field| field.scope().name());
        let line = gap.field.map_or_else(
            || gap.why.to_string(),
            |field| format!("{whose}'s {}: {}{cell}", field.words(), gap.why),
        );
        if !told.contains(&line) {
            told.push(line);
        }
    }
    rows.extend(told.into_iter().map(|line| ("not shown", line)));
    for work in &quote.works {
        rows.push(("so first", format!("{}, {}", work.name, money(work.costs))));
    }
    rows
}

fn known(quote: &Quote<'_>, field: Field) -> Option<f64> {
    number(field, quote.done.case()).known()
}

/// A length to a tenth of a millimeter, without its sign.
fn tenths(base: f64) -> String {
    let tenths = (Length::from_base(base).abs().mm() * 10.0).round() / 10.0;
    format!("{tenths} mm")
}

fn beside_stock(quote: &Quote<'_>) -> Option<String> {
    let mut told = Vec::new();
    let sides = [(Field::PackageOutboardChange, "out"), (Field::PackageInboardChange, "in")];
    for (field, side) in sides {
        if let Some(change) = known(quote, field) {
            let more = if change < 0.0 { "less" } else { "further" };
            told.push(format!("{} {more} {side}", tenths(change)));
        }
    }
    if let Some(change) = known(quote, Field::PackageTrackChange) {
        let word = if change < 0.0 { "narrower" } else { "wider" };
        told.push(if change == 0.0 {
            "track as before".to_owned()
        } else {
            format!("track {} {word}", tenths(change))
        });
    }
    if let Some(change) = known(quote, Field::PackageRideHeightChange) {
        let word = if change < 0.0 { "lower" } else { "higher" };
        told.push(if change == 0.0 {
            "van as high as before".to_owned()
        } else {
            format!("van {} {word}", tenths(change))
        });
    }
    if let Some(error) = known(quote, Field::PackageRoadSpeedError) {
        let percent = Unit::Percent.show(error.abs());
        let word = if error < 0.0 { "slower" } else { "faster" };
        told.push(if error == 0.0 {
            "road speed as the dial says".to_owned()
        } else {
            format!("road speed {percent} {word} than the dial says")
        });
    }
    if told.is_empty() { None } else { Some(told.join("; ")) }
}

fn room_left(quote: &Quote<'_>) -> Option<String> {
    let pairs = [
        (Field::PackageOutboardReach, Field::VanRoomOutboardReach, "outboard"),
        (Field::PackageInboardReach, Field::VanRoomInboardReach, "inboard"),
        (Field::PackageOverallDiameter, Field::VanRoomTireDiameter, "over the diameter"),
    ];
    let told: Vec<String> = pairs
        .into_iter()
        .filter_map(|(figure, room, side)| {
            let left = known(quote, room)? - known(quote, figure)?;
            let short = if left < 0.0 { "short by " } else { "" };
            Some(format!("{short}{} {side}", tenths(left)))
        })
        .collect();
    if told.is_empty() { None } else { Some(told.join(", ")) }
}

fn axle_words(axle: &AxleQuote) -> String {
    let twins = if axle.fitment == Fitment::Twin { "on twins, " } else { "" };
    let load = Unit::Kg.show(axle.load.base());
    match (axle.capacity, axle.margin(), &axle.limit) {
        (Some(capacity), Some(margin), limit) => {
            let limit = limit
                .as_ref()
                .map_or_else(String::new, |limit| format!("; limited by the {}", limit_words(limit)));
            let margin = if margin.base() < 0.0 {
                format!("{} too little", Unit::Kg.show(margin.abs().base()))
            } else {
                format!("{} in reserve", Unit::Kg.show(margin.base()))
            };
            format!("{twins}{load} on a capacity of {}, {margin}{limit}", Unit::Kg.show(capacity.base()))
        }
        _ => format!("{twins}{load}; the capacity is not known"),
    }
}

/// What sets an axle's capacity, in words.
pub(super) fn limit_words(limit: &Limit) -> &str {
    match limit {
        Limit::Tire => "tire",
        Limit::Wheel => "wheel",
        Limit::Both => "tire and wheel",
        Limit::Work(work) => work,
    }
}

/// A pressure as people set it: up to tens of kPa, and whole psi.
fn pressure_text(pressure: Pressure) -> String {
    format!("{} kPa ({} psi)", ten_kpa_up(pressure).kpa(), whole_psi_up(pressure))
}

fn pressure_words(axle: &AxleQuote, quote: &Quote<'_>) -> String {
    let (class, needed, cautious) = match &axle.pressure {
        PressureQuote::Worked { class, needed, cautious } => (class, needed, cautious),
        PressureQuote::AboveRating(_) => {
            return "no pressure carries this load: it is above the tire's rating".to_owned();
        }
        PressureQuote::NotKnown(_) => {
            return "pressure not worked out: the pressure of the tire's rated load is not known".to_owned();
        }
        PressureQuote::NoRelation(_) => {
            return "pressure not worked out for such tires: ask the tire maker for its table".to_owned();
        }
    };
    let raised = if matches!(needed, Need::RaisedToLeast { .. }) {
        ", the least that is set; the load alone asks for less"
    } else {
        ""
    };
    let more = if cautious.pressure() > needed.pressure() {
        format!(", {} to be cautious", pressure_text(cautious.pressure()))
    } else {
        String::new()
    };
    let maxima: Vec<String> = [(Field::TireMaxPressure, "tire"), (Field::WheelMaxPressure, "wheel")]
        .into_iter()
        .map(|(field, word)| match known(quote, field) {
            Some(most) => format!("{word} allows {}", pressure_most(Pressure::from_base(most))),
            None => format!("{word}'s highest not stated"),
        })
        .collect();
    format!(
        "cold pressure at this load {}{raised}{more} ({} formula; {})",
        pressure_text(needed.pressure()),
        class.name(),
        maxima.join(", ")
    )
}

/// A highest pressure, never rounded up.
fn pressure_most(pressure: Pressure) -> String {
    let psi = (pressure.psi() + 1e-3).floor();
    format!("{} kPa ({psi} psi)", pressure.kpa().floor())
}

fn fasteners_words(fasteners: &Fasteners, quote: &Quote<'_>) -> String {
    let Fasteners { per_wheel, on_road, in_set, .. } = fasteners;
    let whose = if fasteners.replaced { "by the work" } else { "the van's own" };
    let what = match fasteners.bolts {
        Some(true) => "lug bolts",
        Some(false) => "studs and nuts",
        None => "fasteners",
    };
    let mut told = vec![format!("{whose}: {what}")];
    told.extend(fasteners.thread.map(|thread| thread.to_string()));
    told.extend(fasteners.seat.map(|seat| format!("seat {seat}")));
    told.extend(fasteners.shank.map(|shank| format!("{} under the seat", tenths(shank.base()))));
    if let Some(turns) = fasteners.turns {
        told.push(format!("{} turns engaged", (turns * 10.0).floor() / 10.0));
    }
    let set = if quote.van.facts.wheels_on_road() > 4 {
        format!("{per_wheel} a hub, {on_road} on the road")
    } else {
        format!("{per_wheel} a wheel, {on_road} on the road, {in_set} for {} wheels", quote.shopping.set)
    };
    format!("{}; {set}", told.join(", "))
}

fn spare_words(spare: Spare, quote: &Quote<'_>) -> String {
    let same = "of the same size as the others: one of another size is a trap on a driven axle";
    let whole = if quote.van.facts.wheels_on_road() > 4 { "one for six on the road" } else { "a full one" };
    match spare {
        Spare::Carrier { room } => {
            format!("{whole}, {same}; it fits the carrier with {} to spare", tenths(room.base()))
        }
        Spare::Elsewhere { over } => format!(
            "{whole}, {same}; {} too large for the carrier: it needs a rack at the rear doors or a bracket and straps inside",
            tenths(over.base())
        ),
        Spare::NotKnown => format!("{whole}, {same}; whether the carrier holds it is not known: measure it"),
    }
}

fn priced(quote: &Quote<'_>, text: &str) -> String {
    quote.shopping.currency.map_or_else(|| text.to_owned(), |currency| format!("{text} {currency}"))
}

/// What keeps a set from having a total, in words.
pub(super) fn price_gap_words(gap: &PriceGap) -> String {
    let named = |currency: &Option<&'static str>| currency.unwrap_or("a currency not stated").to_owned();
    match gap {
        PriceGap::Wheel => "wheel: no price".to_owned(),
        PriceGap::Tire => "tire: no price".to_owned(),
        PriceGap::Currency { wheel, tire } => {
            format!("currency: the wheel is priced in {}, the tire in {}", named(wheel), named(tire))
        }
    }
}

fn shopping(page: &mut Page, quote: &Quote<'_>) {
    page.gap();
    let shopping = &quote.shopping;
    let mut rows = vec![["", "each", "together", "to buy"].map(str::to_owned).to_vec()];
    for line in &shopping.lines {
        let sku = line.sku.as_ref().map_or_else(String::new, |sku| format!(", {sku}"));
        let amount = |amount: Option<rust_decimal::Decimal>| amount.map_or_else(String::new, money);
        rows.push(vec![
            line.count.to_string(),
            amount(line.each),
            amount(line.total()),
            format!("{}{sku}", line.item),
        ]);
    }
    if let Some(total) = shopping.total {
        rows.push(vec![String::new(), String::new(), priced(quote, &money(total)), "in all".to_owned()]);
    }
    page.table(2, &[Side::Right, Side::Right, Side::Right, Side::Left], &rows);
    if !shopping.missing_price.is_empty() {
        let gaps: Vec<String> = shopping.missing_price.iter().map(price_gap_words).collect();
        page.hanging(2, 4, &format!("No total: {}", gaps.join("; ")));
    }
}

/// Drawbacks of the work and cautions of the package; what nobody states is told in one line.
fn cautions(page: &mut Page, quote: &Quote<'_>, finding: &Finding) {
    page.gap();
    for drawback in quote.works.iter().flat_map(|work| &work.leaves) {
        page.hanging(2, 4, &format!("but: {drawback}"));
    }
    let mut open = FieldSet::EMPTY;
    for caution in &finding.cautions {
        match &caution.about {
            CautionAbout::Drawback => page.hanging(2, 4, &format!("mind: {}", caution.says)),
            CautionAbout::NotStated(fields) => open = open.union(fields.iter().copied().collect()),
        }
    }
    for (scope, whose) in [(Scope::Wheel, "the wheel's"), (Scope::Tire, "the tire's")] {
        let fields = open.intersection(FieldSet::of_scope(scope));
        let words: Vec<&str> = fields.iter().map(Field::words).collect();
        if let Some((last, others)) = words.split_last() {
            let listed = if others.is_empty() {
                (*last).to_owned()
            } else {
                format!("{} and {last}", others.join(", "))
            };
            page.hanging(2, 4, &format!("ask: {whose} {listed}, which the sheet does not state"));
        }
    }
}

/// The card a customer keeps in the van.
pub(super) fn care_lines(quote: &Quote<'_>) -> Vec<String> {
    let care = &quote.care;
    let mut lines = Vec::new();
    for axle in &quote.axles {
        lines.push(match axle.pressure.needed() {
            Some(pressure) => {
                format!("{} tires, cold: {} at full axle load.", axle.axle.name(), pressure_text(pressure))
            }
            None => format!(
                "{} tires: pressure by the tire maker's table for {}.",
                axle.axle.name(),
                Unit::Kg.show(axle.load.base())
            ),
        });
    }
    let (low, high) = SOFT_GROUND_PSI;
    lines.push(format!(
        "On sand or mud, at walking pace: not below {low} to {high} psi, and never below what load and speed allow. \
         Pump up again before road speed: a soft tire overheats and bursts."
    ));
    let (from, to) = ROTATION_MILES;
    let twins = if care.twins { ", twins by the tire maker's plan" } else { "" };
    lines.push(format!(
        "Change wheels between the axles every {from} to {to} miles{twins}; leave the spare out of it, so that one \
         tire stays whole."
    ));
    if let Some(life) = care.life {
        let (from, to) = life.thousand_miles();
        lines.push(format!(
            "Tires with {} tread usually go {from},000 to {to},000 miles on such vans; the wear marks and their age decide.",
            life.words()
        ));
    }
    lines.push(
        "Fasteners to the van maker's torque, again after 50 km and after every wheel change.".to_owned(),
    );
    for drawback in quote.works.iter().flat_map(|work| &work.leaves) {
        lines.push(format!(
            "{}{}.",
            drawback.chars().next().map_or_else(String::new, |c| c.to_uppercase().collect()),
            drawback.chars().skip(1).collect::<String>()
        ));
    }
    if care.sensors {
        let spare = if quote.shopping.sensors.is_some_and(|sensors| sensors.with_spare) {
            " The spare has one too."
        } else {
            ""
        };
        lines.push(format!(
            "The pressure sensors were moved across or renewed: relearn them after each change of wheels.{spare}"
        ));
    }
    lines
}

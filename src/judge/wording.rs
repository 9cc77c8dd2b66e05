//! The sentences of reasons, gaps and cautions: a rule's template and its evidence to words.

use crate::facts::field::Field;
use crate::facts::value::{Dimension, Kind, Unit};
use crate::judge::case::{Case, Look};
use crate::judge::explain::{Distance, Evidence, Shown, Side, show, show_field};
use crate::rules::template::{Piece, Template};
use crate::rules::{Remedies, Rule};

/// A rule's sentence with its blanks filled; the gap is added at the end unless the sentence has a
/// blank for it.
#[must_use]
pub fn fill(says: &Template, evidence: Option<&Evidence>, case: Case<'_>) -> String {
    let mut sentence = filled(says, evidence, case);
    let distance = evidence.and_then(|evidence| evidence.distance);
    if let Some(distance) = distance.filter(|_| !says.tells_gap()) {
        sentence.push_str(": ");
        sentence.push_str(&gap(distance));
    }
    sentence
}

/// What would cure a rule that fails, on file or not; none where the rule does not say.
#[must_use]
pub fn remedy(rule: &Rule, evidence: Option<&Evidence>, case: Case<'_>) -> Option<String> {
    let Remedies { short, over, off } = &rule.remedies;
    let remedy = match evidence.and_then(|evidence| evidence.distance).map(|distance| distance.side) {
        Some(Side::Short) => short,
        Some(Side::Over) => over,
        Some(Side::Off | Side::Inside | Side::Allowed) | None => off,
    };
    remedy.as_ref().map(|remedy| filled(remedy, evidence, case))
}

/// What a rule says of a part that passes: its own sentence, or else what was measured and required. A
/// sentence about what is left is not said where nothing is, or where a tolerance lets the part pass.
#[must_use]
pub fn passing(rule: &Rule, evidence: &Evidence, case: Case<'_>) -> String {
    let left = evidence.distance.filter(|distance| distance.side == Side::Inside && distance.base > 0.0);
    let suits = |passes: &&Template| left.is_some() || !passes.tells_gap();
    if let Some(passes) = rule.passes.as_ref().filter(suits) {
        return filled_by(passes, Some(evidence), case, beside);
    }
    let (name, measured, required) =
        (rule.name.replace('-', " "), measured(evidence, case), required(evidence, case));
    let asked = format!("{} {required}", test_words(evidence.test));
    match evidence.distance {
        None => format!("{name}: {measured}, {asked}"),
        Some(distance) if distance.side == Side::Allowed => {
            format!("{name}: {measured}, {asked}; {} beyond it, which the rule allows", beside(distance))
        }
        Some(distance) if distance.base == 0.0 => format!("{name}: {measured}, exactly the limit"),
        Some(distance) => format!("{name}: {measured}, {asked}, {} to spare", beside(distance)),
    }
}

/// A distance as a size, with the supplier's own unit in brackets: `181 kg (399 lb)`.
fn beside(distance: Distance) -> String {
    match distance.own_unit {
        Some(own) => {
            format!("{} ({})", amount(Distance { own_unit: None, ..distance }), own.show(distance.base))
        }
        None => amount(distance),
    }
}

/// A rule's sentence with its blanks filled, and nothing added.
#[must_use]
pub fn filled(says: &Template, evidence: Option<&Evidence>, case: Case<'_>) -> String {
    filled_by(says, evidence, case, amount)
}

/// Letters that hardly a sentence is longer than.
const ROOM: usize = 160;

fn filled_by(
    says: &Template,
    evidence: Option<&Evidence>,
    case: Case<'_>,
    size: impl Fn(Distance) -> String,
) -> String {
    let mut sentence = String::with_capacity(ROOM);
    for piece in says.pieces() {
        match piece {
            Piece::Text(text) => sentence.push_str(text),
            Piece::Fact(field) => sentence.push_str(&fact(*field, case)),
            Piece::Subject => {
                sentence.push_str(evidence.map_or("", |evidence| evidence.field.words()));
            }
            Piece::Measured => {
                if let Some(evidence) = evidence {
                    sentence.push_str(&measured(evidence, case));
                }
            }
            Piece::Required => {
                if let Some(evidence) = evidence {
                    sentence.push_str(&required(evidence, case));
                }
            }
            Piece::Gap => {
                if let Some(distance) = evidence.and_then(|evidence| evidence.distance) {
                    sentence.push_str(&size(distance));
                }
            }
        }
    }
    sentence
}

/// A fact's value: in the supplier's unit, with SI beside it where that is another.
#[must_use]
pub fn fact(field: Field, case: Case<'_>) -> String {
    let Look::Known(value) = case.look(field) else {
        return "not stated".to_owned();
    };
    let shown = show_field(field, value);
    let Some(fact) = case.fact(field) else {
        return shown;
    };
    match (fact.unit, value.number()) {
        (Some(own), Some(count)) if Some(own) != field.unit() => with_si(own, count, &shown),
        _ => shown,
    }
}

fn with_si(own: Unit, count: f64, shown: &str) -> String {
    format!("{} ({shown})", own.show(count))
}

/// The value that decided: in the supplier's unit, with SI beside it where that is another.
#[must_use]
pub fn measured(evidence: &Evidence, case: Case<'_>) -> String {
    in_own_unit(&evidence.measured, evidence.field, case)
}

/// What the value had to meet, likewise in the supplier's unit and SI.
#[must_use]
pub fn required(evidence: &Evidence, case: Case<'_>) -> String {
    in_own_unit(&evidence.required, evidence.field, case)
}

fn in_own_unit(shown: &Shown, field: Field, case: Case<'_>) -> String {
    let Shown { text, number, unit } = shown;
    let (Some(number), Some(unit)) = (number, unit) else {
        return text.clone();
    };
    if !matches!(field.kind(), Kind::Quantity(_)) {
        return text.clone();
    }
    let base = number * unit.factor();
    let shown = show(base, unit.dimension(), Some(*unit));
    if *unit == Unit::Ply {
        return shown;
    }
    let own = case.fact(field).and_then(|fact| fact.unit);
    match own.filter(|own| own != unit && own.dimension() == unit.dimension()) {
        Some(own) => with_si(own, base, &shown),
        None => shown,
    }
}

/// A distance as a size: `38.1 mm`, `181 kg (399 lb)`.
#[must_use]
pub fn amount(distance: Distance) -> String {
    if distance.dimension == Dimension::Ply {
        return format!("{} ply", distance.base);
    }
    let shown = show(distance.base, distance.dimension, distance.unit);
    match distance.own_unit {
        Some(own) => format!("{shown}, {}", own.show(distance.base)),
        None => shown,
    }
}

/// A distance as a clause: `short by 181 kg`.
#[must_use]
pub fn gap(distance: Distance) -> String {
    let amount = amount(distance);
    match distance.side {
        Side::Short => format!("short by {amount}"),
        Side::Over => format!("over by {amount}"),
        Side::Off => format!("off by {amount}"),
        Side::Allowed => format!("{amount} beyond it, which is allowed"),
        Side::Inside if distance.base == 0.0 => "just so".to_owned(),
        Side::Inside => format!("{amount} to spare"),
    }
}

/// How a value had to stand, in words.
#[must_use]
pub fn test_words(test: &str) -> &str {
    match test {
        ">=" => "at least",
        "<=" => "at most",
        ">" => "more than",
        "<" => "less than",
        "==" => "must be",
        "!=" => "must not be",
        "in" => "must be one of",
        "not in" => "must be none of",
        "has any" => "must include one of",
        "has none of" => "must include none of",
        other => other,
    }
}

/// Why a rule cannot be decided, as a caution says it.
#[must_use]
pub fn cannot_show(field: Field, why: &str) -> String {
    format!("{} cannot be shown: {why}", field.words())
}

//! One fact stated by two cells of a row.

use std::sync::Arc;

use crate::facts::fact::{Contradiction, Fact, From, State};
use crate::facts::field::Field;
use crate::facts::part::Spec;
use crate::facts::remark::RemarkKind;
use crate::facts::value::Value;
use crate::intake::fields::fields_of;
use crate::intake::heading::Concept;

/// Puts a fact into a spec that may state it already: its own column beats a description, an
/// unreadable cell beats none, and two values that disagree contradict one another. Drillings add up.
pub(super) fn merge(spec: &mut Spec, field: Field, fact: &Arc<Fact>, concept: Concept) {
    let Some(held) = spec.fact(field).map(Arc::clone) else {
        return;
    };
    let own = fields_of(concept, spec.kind()).first() == Some(&field);
    // A wheel may have two drillings in two columns: one that cannot be read may be the one that fits.
    let two_columns = own && field == Field::WheelBoltPatterns && held.from == From::Cell;
    // Rows that say the same share the fact itself.
    let merged = match (&held.state, &fact.state) {
        (State::Missing, _) => return spec.share(field, fact),
        (State::Unreadable(_), _) if two_columns => return,
        (_, State::Unreadable(_)) if two_columns => return spec.share(field, fact),
        (_, State::Missing) | (State::Contradicted(_), _) => return,
        (State::Known(one), State::Known(other)) if field.kind().agree(one, other) => {
            if own && held.from == From::Designation {
                spec.share(field, fact);
            }
            return;
        }
        (State::Known(Value::Drillings(one)), State::Known(Value::Drillings(other))) if two_columns => {
            let both = one.iter().chain(other.iter()).copied().collect();
            let text = Arc::from(format!("{}, {}", held.text, fact.text));
            Fact { text, ..held.with_state(State::Known(Value::Drillings(both))) }
        }
        (State::Known(one), State::Known(other)) => {
            let says = format!(
                "{} is stated twice: {} and {}",
                field.words(),
                shown(field, one, &held),
                shown(field, other, fact)
            );
            let contradiction = Contradiction { check: RemarkKind::StatedTwice, says: Arc::from(says) };
            held.with_state(State::Contradicted(Arc::new(contradiction)))
        }
        // One cell can be read, the other cannot: the field's own column decides.
        (State::Unreadable(_), State::Known(_)) | (State::Known(_), State::Unreadable(_)) if own => {
            return spec.share(field, fact);
        }
        (State::Unreadable(_) | State::Known(_), _) => return,
    };
    spec.put(field, merged);
}

fn shown(field: Field, value: &Value, fact: &Fact) -> String {
    let text = &fact.text;
    if let (Some(unit), Some(number)) = (fact.unit, value.number()) {
        return unit.show(number);
    }
    if text.is_empty() {
        match (field.unit(), value.number()) {
            (Some(unit), Some(number)) => unit.show(number),
            _ => format!("{value:?}"),
        }
    } else {
        format!("`{text}`")
    }
}

//! What a rule is evaluated on: the facts of one part, one van and this run.

use crate::facts::fact::{Fact, State};
use crate::facts::field::{Field, Scope};
use crate::facts::part::Spec;
use crate::facts::value::Value;
use crate::van::VanFacts;

/// Facts to judge by; cheap to copy.
#[derive(Clone, Copy, Debug)]
pub struct Case<'c> {
    /// The part's facts.
    pub spec: &'c Spec,
    /// The van's facts.
    pub van: &'c VanFacts,
    /// The date given with `--as-of`, in days since 1970-01-01.
    pub as_of: Option<&'c Value>,
}

/// What a case knows of a fact.
#[derive(Clone, Copy, Debug)]
pub enum Look<'c> {
    /// Its value.
    Known(&'c Value),
    /// Nothing states it.
    Missing,
    /// Something states it, but not so that it can be used.
    Unusable,
}

impl<'c> Case<'c> {
    /// Looks a fact up.
    #[must_use]
    pub fn look(self, field: Field) -> Look<'c> {
        let value = match field.scope() {
            Scope::Wheel | Scope::Tire => {
                return match self.spec.fact(field).map(|fact| &fact.state) {
                    Some(State::Known(value)) => Look::Known(value),
                    Some(State::Missing) | None => Look::Missing,
                    Some(State::Unreadable(_) | State::Contradicted(_)) => Look::Unusable,
                };
            }
            Scope::Van => self.van.get(field),
            Scope::Run => self.as_of,
        };
        value.map_or(Look::Missing, Look::Known)
    }

    /// The part's fact, with its cell; none for facts of the van or the run.
    #[must_use]
    pub fn fact(self, field: Field) -> Option<&'c Fact> {
        self.spec.fact(field).map(AsRef::as_ref)
    }

    /// Whether the van (or the run) leaves out something the rule would need from it.
    #[must_use]
    pub fn lacks_limit(self, reads: crate::facts::field::FieldSet) -> Option<Field> {
        reads
            .iter()
            .filter(|field| matches!(field.scope(), Scope::Van | Scope::Run))
            .find(|field| matches!(self.look(*field), Look::Missing))
    }
}

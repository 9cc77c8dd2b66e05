//! What a rule is evaluated on: the facts of a part or a package, of one van and of this run.

use crate::facts::fact::{Fact, State};
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::Value;
use crate::judge::package::PackageFacts;
use crate::van::VanFacts;

/// Facts to judge by; cheap to copy. What it does not hold is missing.
#[derive(Clone, Copy, Debug)]
pub struct Case<'c> {
    /// The wheel's facts.
    pub wheel: Option<&'c Spec>,
    /// The tire's facts.
    pub tire: Option<&'c Spec>,
    /// What follows from wheel, tire and van together.
    pub package: Option<&'c PackageFacts>,
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
    /// One part by itself on a van.
    #[must_use]
    pub fn of_part(spec: &'c Spec, van: &'c VanFacts, as_of: Option<&'c Value>) -> Self {
        let (wheel, tire) = match spec.kind() {
            PartKind::Wheel => (Some(spec), None),
            PartKind::Tire => (None, Some(spec)),
        };
        Self { wheel, tire, package: None, van, as_of }
    }

    /// The spec that a field belongs to.
    fn spec(self, field: Field) -> Option<&'c Spec> {
        match field.scope() {
            Scope::Wheel => self.wheel,
            Scope::Tire => self.tire,
            Scope::Package | Scope::Van | Scope::Run => None,
        }
    }

    /// Looks a fact up.
    #[must_use]
    pub fn look(self, field: Field) -> Look<'c> {
        let value = match field.scope() {
            Scope::Wheel | Scope::Tire => {
                return match self.fact(field).map(|fact| &fact.state) {
                    Some(State::Known(value)) => Look::Known(value),
                    Some(State::Missing) | None => Look::Missing,
                    Some(State::Unreadable(_) | State::Contradicted(_)) => Look::Unusable,
                };
            }
            Scope::Package => return self.package.map_or(Look::Missing, |facts| facts.look(field)),
            Scope::Van => self.van.get(field),
            Scope::Run => self.as_of,
        };
        value.map_or(Look::Missing, Look::Known)
    }

    /// A part's fact, with its cell; none for facts of the package, the van or the run.
    #[must_use]
    pub fn fact(self, field: Field) -> Option<&'c Fact> {
        self.spec(field)?.fact(field).map(AsRef::as_ref)
    }

    /// Every fact of the parts.
    pub fn part_facts(self) -> impl Iterator<Item = (Field, &'c Fact)> {
        let specs = [self.wheel, self.tire].into_iter().flatten();
        specs.flat_map(|spec| spec.iter().map(|(field, fact)| (field, fact.as_ref())))
    }

    /// Whether the van (or the run) leaves out something the rule would need from it.
    #[must_use]
    pub fn lacks_limit(self, reads: FieldSet) -> Option<Field> {
        let limits = FieldSet::of_scope(Scope::Van).union(FieldSet::of_scope(Scope::Run));
        reads.intersection(limits).iter().find(|field| matches!(self.look(*field), Look::Missing))
    }
}

//! Parts by numbers: one number for each fact that rules tell apart, and the kinds that parts are to whoever sees
//! some of their facts.

use std::collections::HashMap;
use std::sync::Arc;

use foldhash::fast::RandomState;

use crate::facts::alike::Combinations;
use crate::facts::fact::{Fact, State};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::Spec;
use crate::facts::value::Value;
use crate::trade::tire::Size;

/// Specs of one kind of part, each a row of numbers of its facts.
#[derive(Debug)]
pub(super) struct Numbered<'s> {
    pub(super) specs: Vec<&'s Spec>,
    fields: Vec<Field>,
    numbers: Vec<u32>,
}

/// The kinds that specs are to whoever sees some of their facts.
#[derive(Debug)]
pub(super) struct Kinds {
    /// The kind of each spec.
    pub(super) of: Vec<u32>,
    /// The first spec of each kind.
    pub(super) first: Vec<usize>,
}

impl<'s> Numbered<'s> {
    /// Numbers those facts of specs that `fields` names; all are of one kind, and the fields are that kind's.
    pub(super) fn new(specs: Vec<&'s Spec>, fields: FieldSet) -> Self {
        let fields: Vec<Field> = fields.iter().collect();
        let mut states = States::default();
        let mut numbers = Vec::with_capacity(specs.len() * fields.len());
        for spec in &specs {
            numbers.extend(fields.iter().map(|field| states.number(spec.fact(*field))));
        }
        Self { specs, fields, numbers }
    }

    /// Some of the specs, with their numbers.
    pub(super) fn some(&self, places: &[usize]) -> Self {
        let specs = places.iter().map(|place| self.specs[*place]).collect();
        let numbers = places.iter().flat_map(|place| self.row(*place)).copied().collect();
        Self { specs, fields: self.fields.clone(), numbers }
    }

    fn row(&self, at: usize) -> &[u32] {
        let width = self.fields.len();
        &self.numbers[at * width..(at + 1) * width]
    }

    /// The kinds that the specs are to whoever sees these facts of them; facts without numbers are not seen.
    pub(super) fn kinds(&self, seen: FieldSet) -> Kinds {
        self.kinds_at(
            &(0..self.fields.len()).filter(|at| seen.contains(self.fields[*at])).collect::<Vec<_>>(),
        )
    }

    /// The kinds that the specs are by all their numbers.
    pub(super) fn alike(&self) -> Kinds {
        self.kinds_at(&(0..self.fields.len()).collect::<Vec<_>>())
    }

    fn kinds_at(&self, places: &[usize]) -> Kinds {
        let mut known = Combinations::of(places.len());
        let mut first = Vec::new();
        let number = |at: usize| {
            let (kind, new) = known.number(self.row(at), places);
            if new {
                first.push(at);
            }
            kind
        };
        let of = (0..self.specs.len()).map(number).collect();
        Kinds { of, first }
    }
}

/// Facts by number: two have the same where no rule and no work tells them apart.
#[derive(Debug, Default)]
struct States {
    by_state: HashMap<(bool, Told), u32, RandomState>,
    /// What takes long to spell out, by where it stands in memory: alike rows share their facts.
    by_place: HashMap<*const Fact, u32, RandomState>,
}

/// What a fact tells whoever judges by it.
#[derive(Debug, PartialEq, Eq, Hash)]
enum Told {
    Number(u64),
    Size(Size),
    Flag(bool),
    Word(Arc<str>),
    /// A value of another kind, spelled out.
    Other(String),
    Missing,
    Unreadable,
    Contradicted,
}

impl States {
    fn number(&mut self, fact: Option<&Arc<Fact>>) -> u32 {
        let Some(fact) = fact else { return u32::MAX };
        let told = match &fact.state {
            State::Known(Value::Number(count)) => Told::Number(count.to_bits()),
            State::Known(Value::Size(size)) => Told::Size(*size),
            State::Known(Value::Flag(flag)) => Told::Flag(*flag),
            State::Known(Value::Word(word)) => Told::Word(Arc::clone(word)),
            State::Known(value) => {
                let Self { by_place, by_state } = self;
                return *by_place.entry(Arc::as_ptr(fact)).or_insert_with(|| {
                    number_of(by_state, (fact.stands_in(), Told::Other(format!("{value:?}"))))
                });
            }
            State::Missing => Told::Missing,
            State::Unreadable(_) => Told::Unreadable,
            State::Contradicted(_) => Told::Contradicted,
        };
        // A designation that stands in for a stated figure is not the same as one that is stated.
        number_of(&mut self.by_state, (fact.stands_in(), told))
    }
}

fn number_of(by_state: &mut HashMap<(bool, Told), u32, RandomState>, state: (bool, Told)) -> u32 {
    let next = by_state.len() as u32;
    *by_state.entry(state).or_insert(next)
}

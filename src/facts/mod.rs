//! The vocabulary between the stages: parts, their facts, and the registry that names them.
//!
//! Takes nothing in and judges nothing; every later stage speaks in these types.

pub mod alike;
pub mod catalog;
pub mod fact;
pub mod field;
pub mod part;
pub mod remark;
pub mod value;

pub use fact::{Contradiction, Fact, From, State};
pub use field::{Field, FieldSet, Scope};
pub use part::{Part, PartKind, Price, Spec, Subject};
pub use remark::RemarkKind;
pub use value::{Dimension, Kind, Unit, Value};

//! What holds the wheels: how many, of which thread and seat, and how much thread they engage.

use crate::facts::field::{Field, FieldSet};
use crate::facts::value::Value;
use crate::judge::case::{Case, Look};
use crate::judge::eval::number;
use crate::trade::quantity::Length;
use crate::trade::seat::Seat;
use crate::trade::thread::{Thread, engagement_behind};
use crate::van::{Van, Work};

/// The fasteners of a package, with the work done.
#[derive(Clone, Debug, PartialEq)]
pub struct Fasteners {
    /// How many a wheel takes.
    pub per_wheel: u32,
    /// How many there are on the road: both wheels of a twin share theirs.
    pub on_road: u32,
    /// How many a set takes whose every wheel, the spare too, has its own; on twins those on the road.
    pub in_set: u32,
    /// Lug bolts rather than studs and nuts, where the van says.
    pub bolts: Option<bool>,
    /// The thread, where the van says.
    pub thread: Option<Thread>,
    /// The seat, where the van says.
    pub seat: Option<Seat>,
    /// Length under the seat, where the van says.
    pub shank: Option<Length>,
    /// Turns engaged behind the wheel's pad, where shank and pad are known.
    pub turns: Option<f64>,
    /// Whether work replaces the van's own.
    pub replaced: bool,
}

impl Fasteners {
    /// The fasteners of a package of so many wheels; none where the hub's bolt pattern is not known.
    pub(super) fn of(case: Case<'_>, van: &Van, works: &[&Work], set: u32) -> Option<Self> {
        let Look::Known(Value::Drillings(pattern)) = case.look(Field::VanHubBoltPattern) else { return None };
        let per_wheel = u32::from(pattern.first()?.holes);
        let known = |field: Field| number(field, case).known().map(Length::from_base);
        let thread = match case.look(Field::VanHubThread) {
            Look::Known(Value::Thread(thread)) => Some(*thread),
            _ => None,
        };
        let shank = known(Field::VanHubFastenerShank);
        let turns = match (thread, shank, known(Field::WheelPadThickness)) {
            (Some(thread), Some(shank), Some(pad)) => Some(thread.turns_in(engagement_behind(shank, pad))),
            _ => None,
        };
        let own: FieldSet =
            [Field::VanHubFixing, Field::VanHubThread, Field::VanHubSeat, Field::VanHubFastenerShank]
                .into_iter()
                .collect();
        Some(Self {
            per_wheel,
            // Four hubs, whatever stands on them.
            on_road: per_wheel * 4,
            in_set: if van.facts.wheels_on_road() > 4 { per_wheel * 4 } else { per_wheel * set },
            bolts: match case.look(Field::VanHubFixing) {
                Look::Known(Value::Word(word)) => Some(&**word == "bolt"),
                _ => None,
            },
            thread,
            seat: match case.look(Field::VanHubSeat) {
                Look::Known(Value::Seat(seat)) => Some(*seat),
                _ => None,
            },
            shank,
            turns,
            replaced: works.iter().any(|work| work.touches.meets(own)),
        })
    }
}

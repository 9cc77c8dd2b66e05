//! How a customer looks after a package: the spare, pressures off the road, rotation, wear.

use crate::facts::field::Field;
use crate::facts::value::Value;
use crate::judge::case::{Case, Look};
use crate::judge::eval::number;
use crate::trade::quantity::Length;
use crate::van::Van;

/// Where the spare goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spare {
    /// In the carrier, with so much diameter to spare.
    Carrier {
        /// Room left.
        room: Length,
    },
    /// It is too large for the carrier by so much: a rack at the rear doors or a bracket inside.
    Elsewhere {
        /// How much too large.
        over: Length,
    },
    /// The van does not say what its carrier holds, or the diameter is not known.
    NotKnown,
}

impl Spare {
    pub(super) fn of(case: Case<'_>) -> Self {
        let [diameter, room] = [Field::PackageOverallDiameter, Field::VanRoomSpareDiameter]
            .map(|field| number(field, case).known().map(Length::from_base));
        let (Some(diameter), Some(room)) = (diameter, room) else { return Self::NotKnown };
        let left = room - diameter;
        if left.base() >= 0.0 { Self::Carrier { room: left } } else { Self::Elsewhere { over: left.abs() } }
    }
}

/// How far a set of tires usually goes, by its tread; common practice, no source. In thousands of
/// miles, from and to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Life {
    /// Road treads.
    Road,
    /// All-terrain treads.
    AllTerrain,
    /// Mud treads.
    Mud,
    /// Winter treads.
    Winter,
}

impl Life {
    /// The class a tread belongs to; none for words that name none.
    fn of(tread: &str) -> Option<Self> {
        let tread = tread.to_lowercase();
        let words: Vec<&str> =
            tread.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let any = |known: &[&str]| words.iter().any(|word| known.contains(word));
        let pair = |first: &str, second: &str| words.windows(2).any(|two| two == [first, second]);
        if any(&["mud", "mt"]) || pair("m", "t") {
            Some(Self::Mud)
        } else if any(&["at"]) || pair("a", "t") || pair("all", "terrain") {
            Some(Self::AllTerrain)
        } else if any(&["winter", "snow", "ice", "studless", "studdable"]) {
            Some(Self::Winter)
        } else if any(&["highway", "ht", "road", "touring", "summer", "commercial", "van", "season"])
            || pair("h", "t")
        {
            Some(Self::Road)
        } else {
            None
        }
    }

    /// The tread in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Road => "road",
            Self::AllTerrain => "all-terrain",
            Self::Mud => "mud",
            Self::Winter => "winter",
        }
    }

    /// From and to how many thousand miles.
    #[must_use]
    pub fn thousand_miles(self) -> (u32, u32) {
        match self {
            Self::Road => (45, 65),
            Self::AllTerrain => (35, 55),
            Self::Mud => (25, 40),
            Self::Winter => (25, 40),
        }
    }
}

/// What a customer is told for the time after.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Care {
    /// How far the tires usually go, where their tread tells.
    pub life: Option<Life>,
    /// Whether the van has pressure sensors.
    pub sensors: bool,
    /// Whether the van stands on twins at an axle.
    pub twins: bool,
}

impl Care {
    pub(super) fn of(case: Case<'_>, van: &Van) -> Self {
        let word = |field: Field| match case.look(field) {
            Look::Known(Value::Word(word)) => Some(word.as_ref()),
            _ => None,
        };
        let life = [Field::TireTread, Field::TireName].into_iter().filter_map(word).find_map(Life::of);
        let sensors = van.facts.get(Field::VanSensors) == Some(&Value::Flag(true));
        Self { life, sensors, twins: van.facts.wheels_on_road() > 4 }
    }
}

/// From and to how many miles wheels are moved from axle to axle; common practice, no source.
pub const ROTATION_MILES: (u32, u32) = (5000, 7500);

/// From and to how many psi such vans are let down to on soft ground; common practice, no source.
pub const SOFT_GROUND_PSI: (u32, u32) = (25, 30);

#[cfg(test)]
mod tests {
    use super::Life;

    #[test]
    fn treads_are_told_by_words_and_not_by_letters_within_them() {
        for (tread, life) in [
            ("A/T", Some(Life::AllTerrain)),
            ("All-Terrain", Some(Life::AllTerrain)),
            ("MT", Some(Life::Mud)),
            ("Winter van", Some(Life::Winter)),
            ("H/T highway", Some(Life::Road)),
            ("Matt", None),
            ("Great Northern", None),
        ] {
            assert_eq!(Life::of(tread), life, "{tread}");
        }
    }
}

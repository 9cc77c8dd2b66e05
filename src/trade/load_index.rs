//! Load indices: the number on the sidewall and the kilograms it stands for, per tire.
//!
//! Sources: the French ministerial order of 24 October 1994 on tires, Annex II, for 0 to 200, and a
//! public vehicle-dynamics library's table for 0 to 279 (both *seen*). Where they disagree the
//! list's own regularity, ten times the load every 80 steps, decided: 1 is 46.2 kg (46.5 in the
//! library), 59 is 243 kg (240 in the order), 169 is 5800 kg (5850 in the library). 203 is 15,500 kg
//! by *memory*, against the library's 15,550. 275 stands as *seen*, though 195 suggests 121,500 kg.

use super::quantity::Mass;

/// The highest index of the list.
pub const HIGHEST: u16 = 279;

/// Tenths of a kilogram by index, so that 46.2 and 77.5 kg stay exact; ten to a line.
#[rustfmt::skip]
const TENTHS_OF_KG: [u32; 280] = [
    450, 462, 475, 487, 500, 515, 530, 545, 560, 580, // 0
    600, 615, 630, 650, 670, 690, 710, 730, 750, 775, // 10
    800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, // 20
    1060, 1090, 1120, 1150, 1180, 1210, 1250, 1280, 1320, 1360, // 30
    1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850, // 40
    1900, 1950, 2000, 2060, 2120, 2180, 2240, 2300, 2360, 2430, // 50
    2500, 2570, 2650, 2720, 2800, 2900, 3000, 3070, 3150, 3250, // 60
    3350, 3450, 3550, 3650, 3750, 3870, 4000, 4120, 4250, 4370, // 70
    4500, 4620, 4750, 4870, 5000, 5150, 5300, 5450, 5600, 5800, // 80
    6000, 6150, 6300, 6500, 6700, 6900, 7100, 7300, 7500, 7750, // 90
    8000, 8250, 8500, 8750, 9000, 9250, 9500, 9750, 10000, 10300, // 100
    10600, 10900, 11200, 11500, 11800, 12150, 12500, 12850, 13200, 13600, // 110
    14000, 14500, 15000, 15500, 16000, 16500, 17000, 17500, 18000, 18500, // 120
    19000, 19500, 20000, 20600, 21200, 21800, 22400, 23000, 23600, 24300, // 130
    25000, 25750, 26500, 27250, 28000, 29000, 30000, 30750, 31500, 32500, // 140
    33500, 34500, 35500, 36500, 37500, 38750, 40000, 41250, 42500, 43750, // 150
    45000, 46250, 47500, 48750, 50000, 51500, 53000, 54500, 56000, 58000, // 160
    60000, 61500, 63000, 65000, 67000, 69000, 71000, 73000, 75000, 77500, // 170
    80000, 82500, 85000, 87500, 90000, 92500, 95000, 97500, 100_000, 103_000, // 180
    106_000, 109_000, 112_000, 115_000, 118_000, 121_500, 125_000, 128_500, 132_000, 136_000, // 190
    140_000, 145_000, 150_000, 155_000, 160_000, 165_000, 170_000, 175_000, 180_000, 185_000, // 200
    190_000, 195_000, 200_000, 206_000, 212_000, 218_000, 224_000, 230_000, 236_000, 243_000, // 210
    250_000, 257_500, 265_000, 272_500, 280_000, 290_000, 300_000, 307_500, 315_000, 325_000, // 220
    335_000, 345_000, 355_000, 365_000, 375_000, 387_500, 400_000, 412_500, 425_000, 437_500, // 230
    450_000, 462_500, 475_000, 487_500, 500_000, 515_000, 530_000, 545_000, 560_000, 580_000, // 240
    600_000, 615_000, 630_000, 650_000, 670_000, 690_000, 710_000, 730_000, 750_000, 775_000, // 250
    800_000, 825_000, 850_000, 875_000, 900_000, 925_000, 950_000, 975_000, 1_000_000, 1_030_000, // 260
    1_060_000, 1_090_000, 1_120_000, 1_150_000, 1_180_000, 1_210_000, 1_250_000, 1_285_000, 1_320_000, 1_360_000, // 270
];

/// The most one tire of this load index carries, in kilograms; `None` above [`HIGHEST`].
///
/// A service description `121/120` holds two indices: the first for single, the second for each of
/// twin tires.
#[must_use]
pub fn capacity(index: u16) -> Option<Mass> {
    TENTHS_OF_KG.get(usize::from(index)).map(|&tenths| mass(tenths))
}

/// The smallest index whose kilograms are at least `load`; `None` above the top of the list.
#[must_use]
pub fn smallest_for(load: Mass) -> Option<u16> {
    let below = TENTHS_OF_KG.partition_point(|&tenths| mass(tenths) < load);
    u16::try_from(below).ok().filter(|index| *index <= HIGHEST)
}

fn mass(tenths: u32) -> Mass {
    // A tenth of a kilogram is 10^8 micrograms.
    Mass::from_base(f64::from(tenths) * 1e8)
}

#[cfg(test)]
mod tests {
    use super::{HIGHEST, TENTHS_OF_KG, capacity, smallest_for};
    use crate::trade::quantity::Mass;

    #[test]
    fn the_list_only_ever_rises() {
        assert!(TENTHS_OF_KG.is_sorted_by(|a, b| a < b));
    }

    #[test]
    fn every_index_is_the_smallest_for_its_own_load_and_not_for_a_gram_more() {
        for index in 0..=HIGHEST {
            let load = capacity(index).expect("the list has no gaps");
            assert_eq!(smallest_for(load), Some(index));
            let more = smallest_for(load + Mass::from_kg(0.001));
            assert_eq!(more, (index < HIGHEST).then_some(index + 1));
        }
    }

    #[test]
    fn beyond_the_list_there_is_nothing() {
        assert_eq!(capacity(HIGHEST + 1), None);
        assert_eq!(smallest_for(Mass::from_kg(136_000.1)), None);
    }

    #[test]
    fn loads_grow_tenfold_every_eighty_steps() {
        // The law the disagreements were settled by; the ends of the list and the few steps that
        // drop half a kilogram are printed rounded, so one part in a hundred is allowed.
        for index in 0..=HIGHEST - 80 {
            let low = capacity(index).expect("listed");
            let high = capacity(index + 80).expect("listed");
            assert!((high / low - 10.0).abs() < 0.1, "{index}: {high:?} against {low:?}");
        }
    }
}

//! The named data sets: sheets of wheels and tires that are made up, the same on every run, with what
//! judging them for [`VAN`] must come to.
//!
//! Every row is made to come to one thing and no other: a wheel with one fault, a tire whose only gap is
//! one empty cell. So the counts are known beforehand and not read off the program.

use std::fmt;
use std::fmt::Write as _;
use std::sync::LazyLock;

use rimsieve::trade::load_index;

/// The van of every data set: one that has work to offer.
pub(crate) const VAN: &str = include_str!("../../samples/vans/orlbeck-l4.toml");

/// What a row is made to come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    Fits,
    FitsWithWork,
    Unproven,
    Rejected,
}

/// How the rows of a set differ from one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mix {
    /// Some of everything, in texts that repeat as supplier sheets' do.
    Typical,
    /// As typical, but no two cells hold the same size, figure or number; words repeat.
    AllDifferent,
    /// Only rows that are rejected.
    NothingFits,
    /// Only rows that fit as they are.
    EverythingFits,
}

/// A named data set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Set {
    name: &'static str,
    rows: usize,
    mix: Mix,
}

impl fmt::Display for Set {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

/// How many parts are to have each verdict, in the order of `VerdictKind::ALL`.
pub(crate) type Counts = [usize; 4];

/// The sheets of a set.
#[derive(Debug)]
pub(crate) struct Sheets {
    /// Delimited text: a heading row and one wheel a row.
    pub(crate) wheels: String,
    /// Delimited text: a heading row and one tire a row.
    pub(crate) tires: String,
    /// Wheels and tires alike.
    pub(crate) verdicts: Counts,
}

const SETS: [Set; 6] = [
    Set { name: "empty", rows: 0, mix: Mix::Typical },
    Set { name: "one row", rows: 1, mix: Mix::Typical },
    Set { name: "typical 2k", rows: 2_000, mix: Mix::Typical },
    Set { name: "all different 2k", rows: 2_000, mix: Mix::AllDifferent },
    Set { name: "nothing fits 2k", rows: 2_000, mix: Mix::NothingFits },
    Set { name: "everything fits 2k", rows: 2_000, mix: Mix::EverythingFits },
];

const LARGE: [Set; 4] = [
    Set { name: "typical 200k", rows: 200_000, mix: Mix::Typical },
    Set { name: "all different 200k", rows: 200_000, mix: Mix::AllDifferent },
    Set { name: "nothing fits 200k", rows: 200_000, mix: Mix::NothingFits },
    Set { name: "everything fits 200k", rows: 200_000, mix: Mix::EverythingFits },
];

/// Whether the large sets are asked for: `RIMSIEVE_BENCH=large`.
fn large_wanted() -> bool {
    std::env::var("RIMSIEVE_BENCH").is_ok_and(|wanted| wanted == "large")
}

/// The sets that are asked for.
pub(crate) fn sets() -> Vec<Set> {
    let large = if large_wanted() { &LARGE[..] } else { &[] };
    SETS.iter().chain(large).copied().collect()
}

/// Those that hold wheels and tires to make pairs of.
pub(crate) fn sets_to_pair() -> Vec<Set> {
    sets().into_iter().filter(|set| set.rows > 1).collect()
}

/// One typical set, to set what the gate does beside the reading of its sheets.
pub(crate) fn sets_to_gate() -> Vec<Set> {
    let small = Set { name: "typical 2k", rows: 2_000, mix: Mix::Typical };
    let large = Set { name: "typical 100k", rows: 100_000, mix: Mix::Typical };
    if large_wanted() { vec![small, large] } else { vec![small] }
}

impl Set {
    /// Half the rows are wheels, rounded up.
    pub(crate) fn wheels(self) -> usize {
        self.rows.div_ceil(2)
    }

    /// The rest are tires.
    pub(crate) fn tires(self) -> usize {
        self.rows / 2
    }

    /// Makes the sheets.
    pub(crate) fn sheets(self) -> Sheets {
        let mut draw = Draw(0x5eed);
        let mut verdicts = [0; 4];
        let mut wheels = String::from(
            "Supplier,SKU,Style,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (lb),Lug Seat,\
             Bolt Hole (mm),Price (USD),Stock,Notes\r\n",
        );
        for at in 0..self.wheels() {
            let outcome = self.mix.outcome(&mut draw);
            verdicts[outcome as usize] += 1;
            let share = at as f64 / self.wheels() as f64;
            self.mix.wheel(&mut draw, at, share, outcome, &mut wheels);
        }
        let mut tires = String::from(
            "Supplier,SKU,Tread,Size,Overall Diameter (mm),Max Load (lb),Max Pressure (psi),Price (USD),Stock,Notes\r\n",
        );
        for at in 0..self.tires() {
            let outcome = self.mix.outcome(&mut draw);
            verdicts[outcome as usize] += 1;
            let share = at as f64 / self.tires() as f64;
            self.mix.tire(&mut draw, at, share, outcome, &mut tires);
        }
        Sheets { wheels, tires, verdicts }
    }
}

/// Numbers drawn in a fixed order: a linear congruential generator with Knuth's constants for MMIX.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len() as u64) as usize]
    }
}

const NOTES: [&str; 4] = ["", "\"Caps included, bolts extra\"", "Oversize freight", "\"line one\nline two\""];

impl Mix {
    fn outcome(self, draw: &mut Draw) -> Outcome {
        match self {
            Self::NothingFits => Outcome::Rejected,
            Self::EverythingFits => Outcome::Fits,
            Self::Typical | Self::AllDifferent => match draw.below(100) {
                0..8 => Outcome::Fits,
                8..15 => Outcome::FitsWithWork,
                15..25 => Outcome::Unproven,
                _ => Outcome::Rejected,
            },
        }
    }

    /// A length or load: one of a few round figures, or one that no other row has.
    ///
    /// `share` runs from 0 to 1 over the sheet; `steps` figures stand `step` apart, from `from` on.
    fn figure(self, draw: &mut Draw, share: f64, from: f64, step: f64, steps: u64) -> String {
        if self == Self::AllDifferent {
            return format!("{:.8}", from + share * step * (steps - 1) as f64);
        }
        let figure = from + step * draw.below(steps) as f64;
        let decimals = if step.fract() == 0.0 && from.fract() == 0.0 { 0 } else { 2 };
        format!("{figure:.decimals$}")
    }

    /// Writes a wheel whose every fact suits the van but the one that `outcome` asks for.
    fn wheel(self, draw: &mut Draw, at: usize, share: f64, outcome: Outcome, out: &mut String) {
        let width = self.figure(draw, share, 6.5, 0.5, 5);
        let diameter = draw.one(&["16", "17", "18"]);
        let mut size = match draw.below(4) {
            0 => format!("{diameter} x {width}"),
            1 => format!("{width}Jx{diameter}"),
            _ => format!("{diameter}x{width}"),
        };
        let circle = self.figure(draw, share, 130.0, 0.1, 2);
        let mut pattern = match draw.below(3) {
            0 => format!("6-{circle}"),
            1 => format!("6 x {circle} mm"),
            _ => format!("6x{circle}"),
        };
        let mut offset = self.figure(draw, share, 32.0, 1.0, 30);
        match draw.below(3) {
            0 => offset.insert_str(0, "ET"),
            1 => offset.insert(0, '+'),
            _ => {}
        }
        let bore = self.figure(draw, share, 84.1, 0.1, 2);
        let mut load = self.figure(draw, share, 2700.0, 25.0, 40);
        let mut seat = draw.one(&["Ball R14", "ball seat R14", "Radius 14"]);
        match outcome {
            Outcome::Fits => {}
            Outcome::FitsWithWork => seat = draw.one(&["Cone 60°", "conical 60 deg"]),
            Outcome::Unproven => load = self.unread(draw, at),
            Outcome::Rejected => match draw.below(4) {
                0 => pattern = pattern.replacen('6', "5", 1),
                1 => load = self.figure(draw, share, 1450.0, 25.0, 40),
                2 => offset = self.figure(draw, share, -24.0, 1.0, 40),
                _ => size = format!("{}x{}", draw.one(&["14", "15", "20"]), width),
            },
        }
        let hole = self.figure(draw, share, 14.5, 0.5, 3);
        let (price, stock) = self.price_and_stock(draw, at);
        let _ = write!(
            out,
            "{},NW-{at:07},{},{size},{pattern},{offset},{bore},{load},{seat},{hole},{price},{stock},{}\r\n",
            draw.one(&["Northfell", "Skarnwell Forge", "Tessaquil", "Vorrindel"]),
            draw.one(&["K7", "Yarrowmoot", "Halyard", "Grist"]),
            draw.one(&NOTES),
        );
    }

    /// A designation that comes to `outcome` for the van. There are only so many: where all are to differ,
    /// `at` spaces them out.
    fn designation(self, draw: &mut Draw, at: usize, outcome: Outcome) -> Designation {
        if self == Self::AllDifferent {
            let sizes: &[Size] = match outcome {
                Outcome::FitsWithWork => &LARGER_SIZES,
                Outcome::Fits | Outcome::Unproven | Outcome::Rejected => &SUITING_SIZES,
            };
            let (size, rest) = (sizes[at % sizes.len()], at / sizes.len());
            let least = if outcome == Outcome::Rejected { 100 } else { 117 };
            let index = least + (rest % 10) as u16;
            let symbol = ['R', 'S', 'T', 'H'][rest / 10 % 4];
            return Designation { size, index, symbol, spaces: [rest / 40 % 16, 1 + rest / 640] };
        }
        let (size, index, symbol) = match outcome {
            Outcome::Fits | Outcome::Unproven => draw.one(&[
                (Size(235, 65, 16), 121, 'R'),
                (Size(215, 75, 16), 116, 'R'),
                (Size(215, 75, 16), 118, 'S'),
            ]),
            Outcome::FitsWithWork => {
                draw.one(&[(Size(225, 75, 16), 121, 'R'), (Size(235, 70, 16), 121, 'R')])
            }
            Outcome::Rejected => draw.one(&[(Size(205, 65, 16), 107, 'T'), (Size(215, 65, 16), 109, 'T')]),
        };
        Designation { size, index, symbol, spaces: [draw.below(2) as usize, 1] }
    }

    /// Writes a tire whose every fact suits the van but the one that `outcome` asks for.
    fn tire(self, draw: &mut Draw, at: usize, share: f64, outcome: Outcome, out: &mut String) {
        let Designation { size, index, symbol, spaces } = self.designation(draw, at, outcome);
        let diameter = self.figure(draw, share, size.millimeters() - 0.25, 0.5, 2);
        let load = self.figure(draw, share, pounds(index), 1.0, 2);
        let pressure = self.figure(draw, share, 69.0, 1.0, 8);
        let size = match outcome {
            Outcome::Unproven => self.unread(draw, at),
            Outcome::Fits | Outcome::FitsWithWork | Outcome::Rejected => {
                let Size(width, aspect, rim) = size;
                let [before, behind] = spaces.map(|count| " ".repeat(count));
                format!("{width}/{aspect}{before}R{rim}C{behind}{index}/{}{symbol}", index - 2)
            }
        };
        let (price, stock) = self.price_and_stock(draw, at);
        let _ = write!(
            out,
            "{},OB-{at:07},{},{size},{diameter},{load},{pressure},{price},{stock},{}\r\n",
            draw.one(&["Ombrick Rubber", "Pellitrax", "Quibblex"]),
            draw.one(&["Kerbule Van", "Icklesome Winter", "Wayfarer"]),
            draw.one(&NOTES),
        );
    }

    /// A cell that cannot be read.
    fn unread(self, draw: &mut Draw, at: usize) -> String {
        match self {
            Self::AllDifferent => format!("see note {at}"),
            Self::Typical | Self::NothingFits | Self::EverythingFits => {
                draw.one(&["", "TBD", "see notes"]).to_owned()
            }
        }
    }

    fn price_and_stock(self, draw: &mut Draw, at: usize) -> (String, u64) {
        let (cents, stock) = match self {
            Self::AllDifferent => (at as u64, at as u64),
            Self::Typical | Self::NothingFits | Self::EverythingFits => {
                (draw.below(4_000), draw.below(1_800))
            }
        };
        (format!("{}.{:02}", 90 + cents / 100, cents % 100), stock)
    }
}

/// Nominal width in mm, aspect ratio in %, rim diameter in inches.
#[derive(Clone, Copy, Debug)]
struct Size(u16, u16, u16);

/// A commercial tire's size and service.
struct Designation {
    size: Size,
    /// The load index of the single tire; that of each of twins is 2 less.
    index: u16,
    symbol: char,
    /// How many spaces stand before the `R`, and before the load index.
    spaces: [usize; 2],
}

impl Size {
    /// The overall diameter, in mm.
    fn millimeters(self) -> f64 {
        let Self(width, aspect, rim) = self;
        f64::from(rim) * 25.4 + f64::from(width) * f64::from(aspect) / 50.0
    }
}

/// Sizes that serve the van as it is: within 3 % of its stock tire's 711.9 mm.
static SUITING_SIZES: LazyLock<Vec<Size>> = LazyLock::new(|| sizes_between(692.0, 731.0));

/// Sizes that serve once the road speed is coded again.
static LARGER_SIZES: LazyLock<Vec<Size>> = LazyLock::new(|| sizes_between(738.0, 768.0));

fn sizes_between(least: f64, most: f64) -> Vec<Size> {
    let mut sizes = Vec::new();
    for width in (195..=275).step_by(10) {
        for aspect in (50..=85).step_by(5) {
            sizes.extend([16, 17, 18].map(|rim| Size(width, aspect, rim)));
        }
    }
    sizes.retain(|size| (least..=most).contains(&size.millimeters()));
    sizes
}

/// What a load index stands for, in whole pounds.
fn pounds(index: u16) -> f64 {
    load_index::capacity(index).map_or(0.0, |load| load.lb().round())
}

//! Speed symbols: the letter after the load index, and the speed it stands for.
//!
//! Letters do not rise with speed: H is 210 km/h and stands above U at 200, so symbols are compared
//! by [`SpeedSymbol::speed`] and have no order of their own.

use super::quantity::Speed;

/// A speed symbol of the list, such as `R`, `A8` or `(Y)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SpeedSymbol(u8);

/// Symbol and km/h. F to V: French ministerial order of 24 October 1994, Annex I (*seen*); W:
/// several public tables (*seen*); Y at 300: *memory* for UN R30, its 186 mph *seen*; A1 to E:
/// UN R30 and R54, *memory*.
const SYMBOLS: [(&str, u16); 31] = [
    ("A1", 5),
    ("A2", 10),
    ("A3", 15),
    ("A4", 20),
    ("A5", 25),
    ("A6", 30),
    ("A7", 35),
    ("A8", 40),
    ("B", 50),
    ("C", 60),
    ("D", 65),
    ("E", 70),
    ("F", 80),
    ("G", 90),
    ("J", 100),
    ("K", 110),
    ("L", 120),
    ("M", 130),
    ("N", 140),
    ("P", 150),
    ("Q", 160),
    ("R", 170),
    ("S", 180),
    ("T", 190),
    ("U", 200),
    ("H", 210),
    ("V", 240),
    ("ZR", 240),
    ("W", 270),
    ("Y", 300),
    ("(Y)", 300),
];

impl SpeedSymbol {
    /// The symbol these letters stand for, upper or lower case, without surrounding space; `None`
    /// for anything else, `I` and `O` included.
    ///
    /// `ZR` is part of a size and no service symbol, but stands in catalogs where one belongs.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let place = SYMBOLS.iter().position(|(symbol, _)| symbol.eq_ignore_ascii_case(text))?;
        u8::try_from(place).ok().map(Self)
    }

    /// The highest speed of the symbol. `ZR` (more than 240 km/h) and `(Y)` (more than 300) are
    /// open upward; the figure given is what they are known to cover.
    #[must_use]
    pub fn speed(self) -> Speed {
        Speed::from_km_h(f64::from(self.row().1))
    }

    /// The symbol as it stands on a sidewall.
    #[must_use]
    pub fn text(self) -> &'static str {
        self.row().0
    }

    fn row(self) -> (&'static str, u16) {
        // INVARIANT: only `parse` makes a symbol, from a place in the list.
        SYMBOLS[usize::from(self.0)]
    }
}

#[cfg(test)]
mod tests {
    use super::{SYMBOLS, SpeedSymbol};

    #[test]
    fn every_symbol_reads_back_in_either_case() {
        for (text, _) in SYMBOLS {
            let symbol = SpeedSymbol::parse(text).expect(text);
            assert_eq!(symbol.text(), text);
            assert_eq!(SpeedSymbol::parse(&text.to_lowercase()), Some(symbol));
        }
    }

    #[test]
    fn what_is_no_symbol_is_refused() {
        for text in ["", "I", "O", "X", "Z", "A", "A9", "RR", " R", "R ", "(W)"] {
            assert_eq!(SpeedSymbol::parse(text), None, "{text:?}");
        }
    }
}

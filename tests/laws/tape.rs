//! Random choices as a tape of marks: whatever is made from it shrinks as the tape does.

use proptest::prelude::{Strategy, any};
use proptest::test_runner::{Config, RngSeed, TestCaseError, TestRunner};

/// Whether a law held in one case.
pub(crate) type Kept = Result<(), TestCaseError>;

/// Marks read one after the other; past the end every mark is 0, the simplest choice.
#[derive(Clone, Debug)]
pub(crate) struct Tape {
    marks: Vec<u16>,
    next: usize,
}

impl Tape {
    /// A tape that always makes the simplest choice.
    pub(crate) fn blank() -> Self {
        Self { marks: Vec::new(), next: 0 }
    }

    /// One of so many choices.
    pub(crate) fn pick(&mut self, choices: usize) -> usize {
        let mark = self.marks.get(self.next).copied().unwrap_or(0);
        self.next += 1;
        usize::from(mark) % choices
    }

    /// One of a list.
    pub(crate) fn one_of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.pick(list.len())]
    }

    /// True in so many of a hundred cases; false past the end.
    pub(crate) fn in_hundred(&mut self, cases: usize) -> bool {
        self.pick(100) + cases >= 100
    }
}

/// Tapes of up to so many marks, most of them long.
pub(crate) fn tapes(marks: usize) -> impl Strategy<Value = Tape> {
    proptest::collection::vec(any::<u16>(), marks / 3..marks).prop_map(|marks| Tape { marks, next: 0 })
}

/// Tries a law on so many cases, the same ones on every run unless the environment says otherwise.
pub(crate) fn try_law<S: Strategy>(cases: u32, made: &S, law: impl Fn(S::Value) -> Kept) {
    let mut config = Config { failure_persistence: None, ..Config::default() };
    if std::env::var_os("PROPTEST_CASES").is_none() {
        config.cases = cases;
    }
    if config.rng_seed == RngSeed::Random {
        config.rng_seed = RngSeed::Fixed(0x5EED);
    }
    if let Err(broken) = TestRunner::new(config).run(made, law) {
        panic!("{broken}");
    }
}

/// Demands that a law was put to the test often enough to mean something.
pub(crate) fn demand_share(what: &str, count: u32, of: u32, percent: u32) {
    assert!(count * 100 >= of * percent, "{what}: only {count} of {of} cases, {percent} % wanted");
}

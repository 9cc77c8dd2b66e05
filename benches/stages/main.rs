//! How long each stage takes, and the whole: `cargo bench --bench stages`.
//!
//! `RIMSIEVE_BENCH=large` adds the sets of 100,000 and 200,000 rows. `cargo test --bench stages` runs
//! every bench once; each checks what it gives, so that no figure stands for work that was not done.

#![expect(clippy::unwrap_used, reason = "a bench that cannot be set up fails by panicking")]

mod data;

use std::io;
use std::path::Path;

use divan::{Bencher, counter::ItemsCount};
use rimsieve::document::Source;
use rimsieve::facts::catalog::Catalog;
use rimsieve::intake::take_in;
use rimsieve::judge::pairing::{Order, Request, pair};
use rimsieve::judge::{Judgement, VerdictKind, judge};
use rimsieve::ledger::{self, ReadBy, Standing};
use rimsieve::plan::{Inputs, SheetSource, Styling, VetFormat, VetPlan};
use rimsieve::rules::RuleSet;
use rimsieve::sheet::{Sheet, read_bytes};
use rimsieve::van::{Van, read_van};
use rimsieve::{report, run};

use data::{Counts, Set, Sheets};

fn main() {
    divan::main();
}

fn cells(sheets: &Sheets) -> [Sheet; 2] {
    [("wheels.csv", &sheets.wheels), ("tires.csv", &sheets.tires)]
        .map(|(name, text)| read_bytes(name, text.clone().into_bytes()).unwrap())
}

fn van() -> Van {
    let (van, problems) = read_van(&Source::new("van.toml".to_owned(), data::VAN.to_owned()), Path::new("."));
    assert!(problems.is_empty());
    van.unwrap()
}

fn judged(catalog: Catalog<'_>) -> Judgement<'_> {
    judge(catalog, RuleSet::shipped().unwrap(), vec![van()], Vec::new(), None)
}

fn verdicts(judgement: &Judgement<'_>) -> Counts {
    let mut counts = [0; 4];
    for part in &judgement.catalog.parts {
        let kind = judgement.finding(0, part).unwrap().kind();
        counts[VerdictKind::ALL.iter().position(|known| *known == kind).unwrap()] += 1;
    }
    counts
}

fn rows(set: Set) -> ItemsCount {
    ItemsCount::new(set.wheels() + set.tires())
}

mod reading {
    use super::{Bencher, Set, data, read_bytes, rows};
    use rust_xlsxwriter::Workbook;

    #[divan::bench(args = data::sets())]
    fn text(bencher: Bencher<'_, '_>, set: Set) {
        let text = set.sheets().wheels.into_bytes();
        bencher.counter(rows(set)).with_inputs(|| text.clone()).bench_values(|text| {
            let sheet = read_bytes("wheels.csv", text).unwrap();
            assert_eq!(sheet.tabs[0].rows().len(), set.wheels() + 1);
            sheet
        });
    }

    #[divan::bench(args = data::sets())]
    fn workbook(bencher: Bencher<'_, '_>, set: Set) {
        let text = set.sheets().wheels;
        let mut workbook = Workbook::new();
        let tab = workbook.add_worksheet();
        let records =
            csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes()).into_records();
        for (row, record) in records.enumerate() {
            for (column, cell) in record.unwrap().iter().enumerate().filter(|(_, cell)| !cell.is_empty()) {
                let (row, column) = (u32::try_from(row).unwrap(), u16::try_from(column).unwrap());
                match cell.parse::<f64>() {
                    Ok(number) if row > 0 => tab.write_number(row, column, number).unwrap(),
                    _ => tab.write_string(row, column, cell).unwrap(),
                };
            }
        }
        let bytes = workbook.save_to_buffer().unwrap();
        bencher.counter(rows(set)).with_inputs(|| bytes.clone()).bench_values(|bytes| {
            let sheet = read_bytes("wheels.xlsx", bytes).unwrap();
            assert_eq!(sheet.tabs[0].rows().len(), set.wheels() + 1);
            sheet
        });
    }
}

mod taking_in {
    use super::{Bencher, Set, cells, data, rows, take_in};

    #[divan::bench(args = data::sets())]
    fn sheets(bencher: Bencher<'_, '_>, set: Set) {
        let sheets = cells(&set.sheets());
        bencher.counter(rows(set)).bench_local(|| {
            let catalog = take_in(&sheets, &[]).unwrap();
            assert_eq!(catalog.parts.len(), set.wheels() + set.tires());
            assert!(catalog.sheets.iter().all(|sheet| sheet.reported == 0 && sheet.furniture == 1));
            catalog
        });
    }
}

mod judging {
    use super::{Bencher, RuleSet, Set, cells, data, judge, rows, take_in, van, verdicts};

    #[divan::bench(args = data::sets())]
    fn parts(bencher: Bencher<'_, '_>, set: Set) {
        let made = set.sheets();
        let sheets = cells(&made);
        let catalog = take_in(&sheets, &[]).unwrap();
        let rules = RuleSet::shipped().unwrap();
        let inputs = || (catalog.clone(), rules.clone(), vec![van()]);
        bencher.counter(rows(set)).with_inputs(inputs).bench_local_values(|(catalog, rules, vans)| {
            let judgement = judge(catalog, rules, vans, Vec::new(), None);
            assert_eq!(verdicts(&judgement), made.verdicts);
            judgement
        });
    }
}

mod writing {
    use super::{Bencher, Set, cells, data, judged, report, rows, take_in};

    #[divan::bench(args = data::sets())]
    fn list(bencher: Bencher<'_, '_>, set: Set) {
        let sheets = cells(&set.sheets());
        let judgement = judged(take_in(&sheets, &[]).unwrap());
        bencher.counter(rows(set)).bench_local(|| {
            let mut out = Vec::new();
            report::list::write(&judgement, &mut out).unwrap();
            let lines = out.iter().filter(|byte| **byte == b'\n').count();
            assert_eq!(lines, 1 + set.wheels() + set.tires());
            out
        });
    }
}

mod pairing {
    use super::{Bencher, ItemsCount, Order, Request, Set, VerdictKind, cells, data, judged, pair, take_in};

    #[divan::bench(args = data::sets_to_pair())]
    fn packages(bencher: Bencher<'_, '_>, set: Set) {
        let sheets = cells(&set.sheets());
        let judgement = judged(take_in(&sheets, &[]).unwrap());
        let request = Request { set: 5, order: Order::Appropriate, best: 20, rejected: false };
        let pairs = (set.wheels() * set.tires()) as u64;
        bencher.counter(ItemsCount::new(pairs)).bench_local(|| {
            let pairing = pair(&judgement, 0, &request);
            let of_one_rim: u64 = VerdictKind::ALL.iter().map(|kind| pairing.count(*kind)).sum();
            assert_eq!(of_one_rim + pairing.other_rims, pairs);
            assert_eq!(pairing.listed.is_empty(), of_one_rim == pairing.count(VerdictKind::Rejected));
            pairing
        });
    }
}

mod comparing {
    use super::{Bencher, ReadBy, Set, Standing, cells, data, judged, ledger, rows, take_in, verdicts};

    /// Every hundredth wheel's load cannot be read any more.
    fn edited(text: &str) -> (String, usize) {
        let (mut listed, mut lines) = (0, Vec::new());
        for (at, line) in text.split("\r\n").enumerate() {
            let mut fields: Vec<&str> = line.split(',').collect();
            if at % 100 == 1 && fields.len() > 7 {
                fields[7] = "TBD";
                listed += 1;
            }
            lines.push(fields.join(","));
        }
        (lines.join("\r\n"), listed)
    }

    #[divan::bench(args = data::sets_to_gate())]
    fn reading_the_ledger(bencher: Bencher<'_, '_>, set: Set) {
        let sheets = cells(&set.sheets());
        let judgement = judged(take_in(&sheets, &[]).unwrap());
        let accepted = ledger::fresh(&judgement, &ReadBy::default()).text();
        bencher.counter(rows(set)).bench_local(|| {
            let held = ledger::read(&accepted).unwrap();
            assert_eq!(held.parts.len(), set.wheels() + set.tires());
            held
        });
    }

    #[divan::bench(args = data::sets_to_gate())]
    fn making_records(bencher: Bencher<'_, '_>, set: Set) {
        let sheets = cells(&set.sheets());
        let judgement = judged(take_in(&sheets, &[]).unwrap());
        let read_by = ReadBy::default();
        bencher.counter(rows(set)).bench_local(|| {
            let fresh = ledger::fresh(&judgement, &read_by);
            assert_eq!(fresh.parts.len(), set.wheels() + set.tires());
            fresh
        });
    }

    /// What a gate does besides reading and judging, where nothing changed.
    #[divan::bench(args = data::sets_to_gate())]
    fn unchanged(bencher: Bencher<'_, '_>, set: Set) {
        let sheets = cells(&set.sheets());
        let judgement = judged(take_in(&sheets, &[]).unwrap());
        let read_by = ReadBy::default();
        let accepted = ledger::fresh(&judgement, &read_by).text();
        bencher.counter(rows(set)).bench_local(|| {
            let held = ledger::read(&accepted).unwrap();
            let fresh = ledger::fresh(&judgement, &read_by);
            let comparison = ledger::compare(&held, &fresh, &judgement).unwrap();
            assert!(!comparison.differs());
            assert_eq!(comparison.same, set.wheels() + set.tires());
            comparison.same
        });
    }

    /// The same, where listed wheels lost their load.
    #[divan::bench(args = data::sets_to_gate())]
    fn changed(bencher: Bencher<'_, '_>, set: Set) {
        let mut made = set.sheets();
        let sheets = cells(&made);
        let before = judged(take_in(&sheets, &[]).unwrap());
        let read_by = ReadBy::default();
        let accepted = ledger::fresh(&before, &read_by).text();
        let (wheels, touched) = edited(&made.wheels);
        made.wheels = wheels;
        let sheets = cells(&made);
        let now = judged(take_in(&sheets, &[]).unwrap());
        let listed = |judgement| {
            let [fit, with_work, ..] = verdicts(judgement);
            fit + with_work
        };
        let lost = listed(&before) - listed(&now);
        assert!(lost > 0 && lost < touched);
        bencher.counter(rows(set)).bench_local(|| {
            let held = ledger::read(&accepted).unwrap();
            let fresh = ledger::fresh(&now, &read_by);
            let comparison = ledger::compare(&held, &fresh, &now).unwrap();
            assert_eq!(comparison.count(Standing::Lost), lost);
            assert_eq!(comparison.changes.len(), lost);
            lost
        });
    }

    /// What a comparison is to be held against: reading the same sheets.
    #[divan::bench(args = data::sets_to_gate())]
    fn reading_the_sheets(bencher: Bencher<'_, '_>, set: Set) {
        let made = set.sheets();
        bencher.counter(rows(set)).bench_local(|| {
            let sheets = cells(&made);
            let parts = take_in(&sheets, &[]).unwrap().parts.len();
            assert_eq!(parts, set.wheels() + set.tires());
            parts
        });
    }
}

mod whole {
    use super::{
        Bencher, Inputs, Set, SheetSource, Styling, VerdictKind, VetFormat, VetPlan, data, io, rows, run,
    };

    /// From files to the list, as `vet --format csv` does.
    #[divan::bench(args = data::sets())]
    fn vet(bencher: Bencher<'_, '_>, set: Set) {
        let made = set.sheets();
        let folder = tempfile::tempdir().unwrap();
        let file = |name: &str, text: &str| {
            let path = folder.path().join(name);
            std::fs::write(&path, text).unwrap();
            path
        };
        let sheets = [file("wheels.csv", &made.wheels), file("tires.csv", &made.tires)];
        let inputs = Inputs {
            sheets: sheets.map(SheetSource::Path).to_vec(),
            vans: vec![file("van.toml", data::VAN)],
            ..Inputs::default()
        };
        let plan = VetPlan {
            inputs,
            format: VetFormat::Csv,
            annotated: None,
            questions: None,
            fail_on: Vec::new(),
            styling: Styling::Plain,
        };
        bencher.counter(rows(set)).bench_local(|| {
            let mut out = Vec::new();
            run::vet(&plan, &mut out, &mut io::sink(), &rimsieve::progress::Progress::unseen()).unwrap();
            let text = std::str::from_utf8(&out).unwrap();
            let counts = VerdictKind::ALL.map(|kind| {
                let verdict = Some(kind.name());
                text.lines().filter(|line| line.split(',').nth(1) == verdict).count()
            });
            assert_eq!(counts, made.verdicts);
            out
        });
    }
}

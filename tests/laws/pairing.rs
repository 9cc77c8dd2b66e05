//! Pairing by distinct specs against judging every pair by itself.

use std::cell::Cell;
use std::collections::BTreeMap;

use proptest::prop_assert_eq;
use rimsieve::document::read_source;
use rimsieve::facts::catalog::Catalog;
use rimsieve::facts::{Fact, Field, Part, PartKind, Price, Spec};
use rimsieve::judge::pairing::{Order, Package, Request, package, pair};
use rimsieve::judge::{Judgement, VerdictKind, judge};
use rimsieve::van::{Van, read_van};
use rust_decimal::Decimal;

use crate::parts::{Quality, any_fact, any_spec, at, sample_vans, shipped, value};
use crate::tape::{Tape, tapes, try_law};

/// The sample vans, and those with works of all sorts that packages are held against an oracle with.
fn vans() -> Vec<Van> {
    let mut vans = sample_vans();
    for id in ["garsdale-m3", "hollin-c2", "skelgate-t6", "wintle-p1"] {
        let source = read_source(&at(&format!("tests/oracle/packages/vans/{id}.toml"))).expect("it is there");
        vans.extend(read_van(&source, std::path::Path::new("")).0);
    }
    assert_eq!(vans.len(), 6);
    vans
}

/// Part numbers, each used once: a repeated one would be a remark on the sheet.
const SKUS: [&str; 24] = [
    "P-00", "P-01", "P-02", "P-03", "P-04", "P-05", "P-06", "P-07", "P-08", "P-09", "P-10", "P-11", "P-12",
    "P-13", "P-14", "P-15", "P-16", "P-17", "P-18", "P-19", "P-20", "P-21", "P-22", "P-23",
];

/// A part that suits the van of one rear wheel a side, but for a few facts.
fn nearly_suiting(tape: &mut Tape, kind: PartKind) -> Spec {
    let suiting: &[(Field, &str)] = match kind {
        PartKind::Wheel => &[
            (Field::WheelRimDiameter, "16 in"),
            (Field::WheelRimWidth, "6.5 in"),
            (Field::WheelBoltPatterns, "6x130"),
            (Field::WheelOffset, "52 mm"),
            (Field::WheelCenterBore, "84.1 mm"),
            (Field::WheelLoadRating, "1300 kg"),
            (Field::WheelSeat, "ball R14"),
        ],
        PartKind::Tire => &[
            (Field::TireSize, "235/65R16C"),
            (Field::TireLoadIndex, "121"),
            (Field::TireLoadIndexDual, "119"),
            (Field::TireSpeedSymbol, "R"),
            (Field::TireMaxPressure, "575 kPa"),
        ],
    };
    let mut spec = Spec::new(kind, |field| {
        let stated = suiting.iter().find(|(known, _)| *known == field);
        stated.map_or_else(|| Fact::missing(None), |(_, text)| Fact::derived(value(field, text))).into()
    });
    let telling: &[Field] = match kind {
        PartKind::Wheel => &[
            Field::WheelSeat,
            Field::WheelCenterBore,
            Field::WheelOffset,
            Field::WheelLoadRating,
            Field::WheelRimWidth,
            Field::WheelMaxPressure,
            Field::WheelMarkings,
        ],
        PartKind::Tire => &[
            Field::TireOverallDiameter,
            Field::TireSectionWidth,
            Field::TireSpeedSymbol,
            Field::TireLoadIndex,
            Field::TireService,
            Field::TireMaxPressure,
            Field::TireRimWidthMax,
        ],
    };
    for _ in 0..tape.pick(3) {
        let field = tape.one_of(telling);
        spec.put(field, any_fact(tape, field, Quality::Good));
    }
    spec
}

/// A few rows of wheels and tires; some share their spec, as rows of a sheet do.
fn any_catalog<'s>(tape: &mut Tape) -> Catalog<'s> {
    let mut catalog = Catalog::default();
    for kind in PartKind::ALL {
        for _ in 0..1 + tape.pick(5) {
            let spec = if tape.pick(5) == 4 { any_spec(tape, kind) } else { nearly_suiting(tape, kind) };
            catalog.specs.push(spec);
            for _ in 0..1 + tape.pick(2) {
                let amount = (tape.pick(4) > 0)
                    .then(|| Price { amount: Decimal::from(100 + tape.pick(3)), currency: None });
                let row = 1 + catalog.parts.len() as u32;
                catalog.parts.push(Part {
                    kind,
                    supplier: tape.one_of(&["Northfell", "Skarnwell"]),
                    sku: SKUS[catalog.parts.len()],
                    name: "",
                    price: "",
                    amount,
                    link: "",
                    image: "",
                    sheet: 0,
                    tab: 0,
                    row,
                    spec: catalog.specs.len() - 1,
                });
            }
        }
    }
    catalog
}

fn rim(judgement: &Judgement<'_>, part: usize) -> Option<f64> {
    let part = &judgement.catalog.parts[part];
    let field = match part.kind {
        PartKind::Wheel => Field::WheelRimDiameter,
        PartKind::Tire => Field::TireRimDiameter,
    };
    let fact = |spec: &Spec| spec.fact(field)?.value()?.number();
    fact(judgement.spec(part)?)
}

#[test]
fn pairs_by_spec_are_the_pairs_one_by_one() {
    let (rules, vans) = (shipped(), vans());
    let counts: BTreeMap<&str, Cell<u32>> =
        VerdictKind::ALL.iter().map(|kind| (kind.name(), Cell::new(0))).collect();
    try_law(250, &tapes(900), |mut tape| {
        // Mostly the van that the parts nearly suit.
        let van = vans[tape.pick(2 * vans.len()) % vans.len() * tape.pick(2)].clone();
        let judgement = judge(any_catalog(&mut tape), rules.clone(), vec![van.clone()], Vec::new(), None);
        let request = Request { set: van.set(), order: Order::Appropriate, best: 10_000, rejected: true };
        let pairing = pair(&judgement, 0, &request);
        let judge = judgement.package_judge(0).expect("there is a van");
        let places = |kind: PartKind| -> Vec<usize> {
            let parts = judgement.catalog.parts.iter().enumerate();
            parts.filter(|(_, part)| part.kind == kind).map(|(place, _)| place).collect()
        };
        let mut one_by_one: BTreeMap<(usize, usize), Package> = BTreeMap::new();
        let mut other_rims = 0;
        for wheel in places(PartKind::Wheel) {
            for tire in places(PartKind::Tire) {
                if rim(&judgement, wheel).is_some_and(|one| rim(&judgement, tire) == Some(one)) {
                    let found = package(&judgement, &judge, &van, wheel, tire).expect("both are there");
                    one_by_one.insert((wheel, tire), found);
                } else {
                    other_rims += 1;
                }
            }
        }
        prop_assert_eq!(pairing.other_rims, other_rims);
        prop_assert_eq!(pairing.listed.len(), one_by_one.len());
        for kind in VerdictKind::ALL {
            let of_kind = one_by_one.values().filter(|package| package.finding.kind() == kind).count();
            prop_assert_eq!(pairing.count(kind), of_kind as u64, "{}", kind.name());
            counts[kind.name()].set(counts[kind.name()].get() + of_kind as u32);
        }
        for listed in &pairing.listed {
            prop_assert_eq!(&listed.finding, &one_by_one[&(listed.wheel, listed.tire)].finding);
        }
        // Without the rejected ones, which are then only counted, all is the same.
        let proven_or_not = pair(&judgement, 0, &Request { rejected: false, ..request.clone() });
        prop_assert_eq!(proven_or_not.counts, pairing.counts);
        prop_assert_eq!(&proven_or_not.stopping, &pairing.stopping);
        let places = |packages: &[Package]| -> Vec<(usize, usize)> {
            packages.iter().map(|package| (package.wheel, package.tire)).collect()
        };
        let open = pairing.listed.iter().filter(|package| package.finding.kind() != VerdictKind::Rejected);
        let open: Vec<Package> = open.cloned().collect();
        prop_assert_eq!(places(&proven_or_not.listed), places(&open));
        // The list is the same however short it is cut.
        let best = 1 + tape.pick(6);
        for (rejected, whole) in [(true, places(&pairing.listed)), (false, places(&open))] {
            let short = pair(&judgement, 0, &Request { best, rejected, ..request.clone() });
            prop_assert_eq!(places(&short.listed), whole.into_iter().take(best).collect::<Vec<_>>());
        }
        Ok(())
    });
    for (kind, count) in counts {
        assert!(count.get() >= 20, "only {} pairs were {kind}", count.get());
    }
}

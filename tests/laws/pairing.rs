//! Pairing by classes against judging every pair by itself.

use std::cell::Cell;
use std::collections::BTreeMap;

use proptest::prop_assert_eq;
use rimsieve::document::read_source;
use rimsieve::facts::catalog::Catalog;
use rimsieve::facts::{Fact, Field, Part, PartKind, Price, Spec};
use rimsieve::judge::bench::WorkSet;
use rimsieve::judge::case::Look;
use rimsieve::judge::pairing::{Order, Package, Request, package, pair};
use rimsieve::judge::{Caution, CautionAbout, Judge, Judgement, Verdict, VerdictKind, judge};
use rimsieve::van::{Van, read_van};
use rust_decimal::Decimal;

use crate::parts::{Quality, any_fact, any_spec, at, sample_vans, shipped, value};
use crate::tape::{Tape, demand_share, tapes, try_law};

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

/// What a package is placed by, worked out from what judging it by itself comes to; the least is the best.
fn place(judgement: &Judgement<'_>, judge: &Judge<'_>, request: &Request, package: &Package) -> Place {
    let works: WorkSet = match &package.finding.verdict {
        Verdict::FitsWithWork { cure, .. } | Verdict::Unproven { mending: Some((cure, _)), .. } => {
            cure.works.iter().copied().collect()
        }
        Verdict::Fits | Verdict::Unproven { mending: None, .. } | Verdict::Rejected { .. } => WorkSet::EMPTY,
    };
    let parts = [package.wheel, package.tire].map(|at| &judgement.catalog.parts[at]);
    let done = judge.with_done(works, judgement.package_case(judge.van(), parts[0], parts[1]));
    let figure = |field: Field| match done.case().look(field) {
        Look::Known(value) => value.number(),
        Look::Missing | Look::Unusable => None,
    };
    let axles = [
        (Field::PackageCapacityFront, Field::VanFrontAxleLoad),
        (Field::PackageCapacityRear, Field::VanRearAxleLoad),
    ];
    let reserves = axles.map(|(capacity, load)| Some(figure(capacity)? / figure(load)? - 1.0));
    let reserve = reserves[0].zip(reserves[1]).map(|(front, rear)| front.min(rear));
    let total = match parts.map(|part| part.amount) {
        [Some(one), Some(other)] if one.currency == other.currency => {
            Some((one.amount + other.amount) * Decimal::from(request.set) + judge.bench().cost(works))
        }
        _ => None,
    };
    let told = |figure: f64| (false, Decimal::ZERO, figure);
    let most_first = |figure: Option<f64>| figure.map_or(ABSENT, |figure| told(-figure));
    let is_drawback = |caution: &&Caution| caution.about == CautionAbout::Drawback;
    let drawbacks = package.finding.cautions.iter().filter(is_drawback).count();
    let kind = package.finding.kind();
    let total = total.map_or(ABSENT, |total| (false, total, 0.0));
    let figures = vec![
        told(match kind {
            VerdictKind::Fits | VerdictKind::FitsWithWork => 0.0,
            VerdictKind::Unproven => 1.0,
            VerdictKind::Rejected => 2.0,
        }),
        match request.order {
            Order::Appropriate => told(0.0),
            Order::Price => total,
            Order::Margin => most_first(reserve),
            Order::Diameter => most_first(figure(Field::PackageOverallDiameter)),
        },
        told(f64::from(kind as u8)),
        told(drawbacks as f64),
        figure(Field::PackageRoadSpeedError).map_or(ABSENT, |error| told(error.abs())),
        total,
    ];
    let who = parts.map(|part| format!("{}\n{}", part.supplier, part.sku));
    Place { figures, who, rows: [package.wheel, package.tire] }
}

/// Whether it is not there, which comes last; an amount; another figure.
type Ranked = (bool, Decimal, f64);

const ABSENT: Ranked = (true, Decimal::ZERO, 0.0);

#[derive(Debug, PartialEq, PartialOrd)]
struct Place {
    figures: Vec<Ranked>,
    who: [String; 2],
    rows: [usize; 2],
}

/// A part of a few values that come again and again, so that many pairs stand level.
fn much_alike(tape: &mut Tape, kind: PartKind) -> Spec {
    let mut spec = nearly_suiting(tape, kind);
    let some: &[(Field, &[&str])] = match kind {
        PartKind::Wheel => &[
            (Field::WheelOffset, &["52 mm", "60 mm", "45 mm"]),
            (Field::WheelLoadRating, &["1300 kg", "1250 kg", "1400 kg"]),
            (Field::WheelSeat, &["ball R14", "cone 60"]),
            (Field::WheelCenterBore, &["84.1 mm", "89.1 mm"]),
        ],
        PartKind::Tire => &[
            (Field::TireSize, &["235/65R16C", "225/75R16C"]),
            (Field::TireLoadIndex, &["121", "118"]),
            (Field::TireOverallDiameter, &["712 mm", "728 mm"]),
        ],
    };
    for (field, texts) in some {
        let text = tape.one_of(texts);
        spec.put(*field, Fact::derived(value(*field, text)));
    }
    spec
}

#[test]
fn the_best_are_those_of_a_plain_double_loop() {
    let (rules, vans) = (shipped(), vans());
    let (level, by_work) = (Cell::new(0_u32), Cell::new(0_u32));
    let pools = [1, 3].map(|threads| {
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be had")
    });
    try_law(120, &tapes(900), |mut tape| {
        let van = vans[tape.pick(2 * vans.len()) % vans.len() * tape.pick(2)].clone();
        let mut catalog = any_catalog(&mut tape);
        for spec in &mut catalog.specs {
            if tape.pick(4) > 0 {
                *spec = much_alike(&mut tape, spec.kind());
            }
        }
        for part in &mut catalog.parts {
            let currency = tape.one_of(&[None, None, Some("USD"), Some("EUR")]);
            // One price in twelve has more digits than totals are exact in.
            let odd = Decimal::from_i128_with_scale(1_000_000_000_000_000_000_000_000_001, 25);
            let amount = match tape.pick(12) {
                0 => odd,
                other => Decimal::new(19_995 + 5 * (other as i64 % 3), 2),
            };
            part.amount = part.amount.map(|_| Price { amount, currency });
            // Some parts have no number, and only their rows tell them apart.
            part.sku = if tape.pick(3) == 0 { "" } else { part.sku };
        }
        let judgement = judge(catalog, rules.clone(), vec![van.clone()], Vec::new(), None);
        let judge = judgement.package_judge(0).expect("there is a van");
        let parts = &judgement.catalog.parts;
        let of_kind = |kind: PartKind| (0..parts.len()).filter(move |at| parts[*at].kind == kind);
        let mut all = Vec::new();
        for wheel in of_kind(PartKind::Wheel) {
            for tire in of_kind(PartKind::Tire) {
                if rim(&judgement, wheel).is_some_and(|one| rim(&judgement, tire) == Some(one)) {
                    all.push(package(&judgement, &judge, &van, wheel, tire).expect("both are there"));
                }
            }
        }
        for order in [Order::Appropriate, Order::Price, Order::Margin, Order::Diameter] {
            for rejected in [false, true] {
                let best = tape.one_of(&[0, 1, 2, 3, 5, 8, 40, 10_000]);
                let request = Request { set: van.set(), order, best, rejected };
                let is_listed =
                    |package: &&Package| rejected || package.finding.kind() != VerdictKind::Rejected;
                let placed = all.iter().filter(is_listed);
                let mut places: Vec<Place> =
                    placed.map(|package| place(&judgement, &judge, &request, package)).collect();
                places.sort_by(|one, other| one.partial_cmp(other).expect("no figure is a NaN"));
                level.set(level.get() + places.windows(2).any(|two| two[0].figures == two[1].figures) as u32);
                let works = |package: &Package| package.finding.kind() == VerdictKind::FitsWithWork;
                by_work.set(by_work.get() + all.iter().any(works) as u32);
                let wanted: Vec<[usize; 2]> = places.iter().take(best).map(|place| place.rows).collect();
                for pool in &pools {
                    let pairing = pool.install(|| pair(&judgement, 0, &request));
                    let listed: Vec<[usize; 2]> =
                        pairing.listed.iter().map(|package| [package.wheel, package.tire]).collect();
                    prop_assert_eq!(&listed, &wanted, "{:?}", request);
                }
            }
        }
        Ok(())
    });
    // Eight requests a case.
    demand_share("packages that stand level", level.get(), 960, 40);
    demand_share("packages with work", by_work.get(), 960, 30);
}

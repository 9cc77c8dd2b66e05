//! Bare-minimum floors. No judging of sheets: only what the job cannot avoid.
//!   floor csv FILE...        read each csv with byte records, count fields
//!   floor csv2 FILE...       the same, one thread per file
//!   floor bytes FILE...      read each file and count line feeds, commas and quotes (no csv grammar)
//!   floor xlsx FILE...       open each xlsx, take the first sheet as one range, count cells
//!   floor xlsx2 FILE...      the same, one thread per file
//!   floor xlsxcells FILE...  the same through the streaming cell reader (no range built)
//!   floor pairs CORNER IN OUT OD_T OUT_T WHEELS.csv TIRES.csv OUT.csv    naive double loop, one thread
//! And what everything is measured by:
//!   floor measure REPORT COMMAND ARGUMENT...  runs the command and writes to REPORT its exit value, wall seconds, seconds of
//!                                             processor time (its children's included), and its peak of memory in KiB
use std::collections::BinaryHeap;
use std::error::Error;
use std::io::{Read, Write};
type R<T> = Result<T, Box<dyn Error + Send + Sync>>;

fn csv_fields(path: &str) -> R<u64> {
    let mut rd = csv::ReaderBuilder::new().has_headers(true).flexible(true).from_path(path)?;
    let mut rec = csv::ByteRecord::new();
    let mut n = 0u64;
    while rd.read_byte_record(&mut rec)? {
        n += rec.len() as u64;
    }
    Ok(n)
}

fn bytes(path: &str) -> R<u64> {
    let mut f = std::fs::File::open(path)?;
    let mut buf = vec![0u8; 1 << 18];
    let mut n = 0u64;
    loop {
        let k = f.read(&mut buf)?;
        if k == 0 {
            return Ok(n);
        }
        for chunk in buf[..k].chunks(192) {
            n += chunk.iter().map(|&b| (b == b'\n' || b == b',' || b == b'"') as u8).sum::<u8>() as u64;
        }
    }
}

fn xlsx_range(path: &str) -> R<u64> {
    use calamine::{Reader, Xlsx, open_workbook};
    let mut wb: Xlsx<_> = open_workbook(path)?;
    let name = wb.sheet_names()[0].clone();
    let range = wb.worksheet_range(&name)?;
    Ok(range.used_cells().count() as u64)
}

fn xlsx_cells(path: &str) -> R<u64> {
    use calamine::{Reader, Xlsx, open_workbook};
    let mut wb: Xlsx<_> = open_workbook(path)?;
    let name = wb.sheet_names()[0].clone();
    let mut cells = wb.worksheet_cells_reader(&name)?;
    let mut n = 0;
    while let Some(c) = cells.next_cell()? {
        std::hint::black_box(c.get_value());
        n += 1;
    }
    Ok(n)
}

struct Part {
    sku: String,
    rim: f64,
    a: f64,
    b: f64,
    load: f64,
    price: f64,
} // a, b: width, offset | section, overall diameter

fn parts(path: &str) -> R<Vec<Part>> {
    let mut rd = csv::Reader::from_path(path)?;
    let mut v = Vec::new();
    for r in rd.records() {
        let r = r?;
        let f = |i: usize| r[i].parse::<f64>();
        v.push(Part { sku: r[1].to_string(), rim: f(2)?, a: f(3)?, b: f(4)?, load: f(5)?, price: f(6)? });
    }
    Ok(v)
}

#[derive(PartialEq)]
struct Hit(f64, u32, u32);
impl Eq for Hit {}
impl Ord for Hit {
    fn cmp(&self, o: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&o.0).then(self.1.cmp(&o.1)).then(self.2.cmp(&o.2))
    }
}
impl PartialOrd for Hit {
    fn partial_cmp(&self, o: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(o))
    }
}

fn pairs(a: &[String]) -> R<u64> {
    let q: Vec<f64> = a[..5].iter().map(|s| s.parse()).collect::<Result<_, _>>()?;
    let (corner, in_max, out_max, od_t, out_t) = (q[0], q[1], q[2], q[3], q[4]);
    let (ws, ts) = (parts(&a[5])?, parts(&a[6])?);
    let mut best: BinaryHeap<Hit> = BinaryHeap::with_capacity(1001);
    let mut n = 0u64;
    for (i, w) in ws.iter().enumerate() {
        let width = w.a * 25.4;
        for (j, t) in ts.iter().enumerate() {
            let half = t.a * 0.5;
            if w.rim == t.rim
                && width >= t.a * 0.65
                && width <= t.a * 0.9
                && w.load >= corner
                && t.load >= corner
                && half + w.b <= in_max
                && half - w.b <= out_max
            {
                n += 1;
                let s = (t.b - od_t).abs() + (half - w.b - out_t).abs() + (w.price + t.price) * 0.01
                    - (w.load.min(t.load) - corner) * 0.02;
                let h = Hit(s, i as u32, j as u32);
                if best.len() < 1000 {
                    best.push(h);
                } else if h < *best.peek().unwrap() {
                    best.pop();
                    best.push(h);
                }
            }
        }
    }
    let mut out = std::io::BufWriter::new(std::fs::File::create(&a[7])?);
    writeln!(out, "wheel,tire,inboard,outboard,score")?;
    for h in best.into_sorted_vec() {
        let (w, t) = (&ws[h.1 as usize], &ts[h.2 as usize]);
        writeln!(out, "{},{},{:.3},{:.3},{:.3}", w.sku, t.sku, t.a * 0.5 + w.b, t.a * 0.5 - w.b, h.0)?;
    }
    out.flush()?;
    Ok(n)
}

/// A small process of its own: what a child's peak of memory is said to be is never below that of the
/// process that started it.
fn measure(a: &[String]) -> R<u64> {
    use nix::sys::resource::{UsageWho, getrusage};
    let start = std::time::Instant::now();
    let status = std::process::Command::new(&a[1]).args(&a[2..]).status()?;
    let wall = start.elapsed().as_secs_f64();
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN)?;
    let seconds = |time: nix::sys::time::TimeVal| time.tv_sec() as f64 + time.tv_usec() as f64 / 1e6;
    let cpu = seconds(usage.user_time()) + seconds(usage.system_time());
    let exit = status.code().unwrap_or(-1);
    std::fs::write(&a[0], format!("{exit} {wall:.6} {cpu:.6} {}\n", usage.max_rss()))?;
    Ok(0)
}

fn main() -> R<()> {
    let a: Vec<String> = std::env::args().skip(1).collect();
    let each = |f: fn(&str) -> R<u64>| -> R<u64> { a[1..].iter().map(|p| f(p)).sum() };
    let both = |f: fn(&str) -> R<u64>| -> R<u64> {
        std::thread::scope(|s| {
            a[1..]
                .iter()
                .map(|p| s.spawn(move || f(p)))
                .collect::<Vec<_>>()
                .into_iter()
                .map(|h| h.join().unwrap())
                .sum()
        })
    };
    let n = match a.first().map_or("", String::as_str) {
        "measure" => {
            measure(&a[1..])?;
            return Ok(());
        }
        "csv" => each(csv_fields)?,
        "csv2" => both(csv_fields)?,
        "bytes" => each(bytes)?,
        "xlsx" => each(xlsx_range)?,
        "xlsx2" => both(xlsx_range)?,
        "xlsxcells" => each(xlsx_cells)?,
        "pairs" => pairs(&a[1..])?,
        _ => return Err("which floor?".into()),
    };
    println!("{n}");
    Ok(())
}

//! The truth as suppliers who send workbooks would write it; `interop/make_dialects.py` does the writing.

use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{Dialect, Seat, truth};

const SET_UP: &str = "set-up step: `pip install openpyxl xlsxwriter xlwt odfpy`";

/// The workbooks, made once for all tests.
fn made() -> &'static Path {
    static MADE: OnceLock<TempDir> = OnceLock::new();
    MADE.get_or_init(|| {
        // Within the build folder, as what a static holds is never cleared away.
        let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/interop/make_dialects.py");
        let mut python = Command::new("python3");
        // Its neighbor is imported, and leaves nothing beside the sources.
        python.env("PYTHONDONTWRITEBYTECODE", "1").arg(script).arg(folder.path());
        let mut child = python.stdin(Stdio::piped()).stderr(Stdio::piped()).spawn().expect(SET_UP);
        serde_json::to_writer(child.stdin.take().unwrap(), &wheels()).unwrap();
        let done = child.wait_with_output().unwrap();
        assert!(done.status.success(), "{SET_UP}\n{}", String::from_utf8_lossy(&done.stderr));
        folder
    })
    .path()
}

fn wheels() -> Value {
    let seat = |seat| match seat {
        Seat::Ball => "ball",
        Seat::Cone => "cone",
        Seat::Flat => "flat",
    };
    let wheel = |wheel: &crate::Wheel| {
        json!({
            "sku": wheel.sku, "width": wheel.width, "diameter": wheel.diameter, "circle": wheel.circle,
            "offset": wheel.offset, "bore": wheel.bore, "load": wheel.load, "seat": wheel.seat.map(seat),
        })
    };
    truth().iter().map(|(of, _)| wheel(of)).collect()
}

/// The ways of suppliers who send workbooks.
pub(crate) fn dialects() -> Vec<Dialect> {
    let sized = "sku, size, bolt_pattern, ";
    let read =
        |file: &str, columns: String| Dialect::new(file, std::fs::read(made().join(file)).unwrap(), &columns);
    let measured = format!("{sized}offset in mm, center_bore in mm, load in kg, seat");
    vec![
        read(
            "logo.xlsx",
            "sku, rim_diameter in in, rim_width in in, bolt_pattern, center_bore in mm, offset in mm, \
             load in kg, seat, price"
                .to_owned(),
        ),
        read("tabs.xlsx", format!("{sized}offset, center_bore, load, seat")),
        read("old.xls", measured.clone()),
        read(
            "office.ods",
            "sku, rim_diameter, rim_width, bolt_pattern, offset in mm, center_bore in mm, load in kg, seat"
                .to_owned(),
        ),
        read("binary.xlsb", measured),
    ]
}

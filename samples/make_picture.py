#!/usr/bin/env python3
"""Draws the first page of the report on the sample sheets as samples/report.svg, for the README.

    cargo build --release && python3 samples/make_picture.py
"""

import pathlib
import subprocess
from xml.sax.saxutils import escape

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent
LINES = 46
CHAR, LINE, PAD = 8.4, 19, 28


def report():
    command = ["cargo", "run", "--release", "--quiet", "--", "vet", "samples/sheets", "--van", "samples/vans/orlbeck-l4.toml"]
    text = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    return text.split("\n")[:LINES]


def main():
    lines = report()
    width, height = 80 * CHAR + 2 * PAD, len(lines) * LINE + 2 * PAD
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        'aria-label="The first page of the report: counts per van, why parts do not fit, near misses">',
        "<style>text{font:14px 'DejaVu Sans Mono',Consolas,Menlo,monospace;fill:#23303a;white-space:pre}"
        ".h{font-weight:700;fill:#7a3b12}</style>",
        f'<rect width="{width:.0f}" height="{height:.0f}" rx="10" fill="#faf6ec"/>',
        f'<rect x="0" y="0" width="10" height="{height:.0f}" fill="#c8742b"/>',
    ]
    for at, line in enumerate(lines):
        if not line or set(line) == {"-"}:
            if line:
                y = PAD + at * LINE + 4
                out.append(f'<rect x="{PAD}" y="{y}" width="{len(line) * CHAR:.0f}" height="2" fill="#c8742b"/>')
            continue
        heading = at + 1 < len(lines) and set(lines[at + 1]) == {"-"}
        css = ' class="h"' if heading else ""
        length = f' textLength="{len(line) * CHAR:.0f}"'
        out.append(f'<text x="{PAD}" y="{PAD + (at + 1) * LINE - 5}"{css}{length} xml:space="preserve">{escape(line)}</text>')
    out.append("</svg>")
    (HERE / "report.svg").write_text("\n".join(out) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

//! SVG text, element by element, with an account of where its labels stand.

use std::fmt::Write as _;

use crate::report::page::clean;

/// Size of the letters, in the drawing's units.
pub(super) const LETTERS: f64 = 12.0;

/// Which end of a label its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

impl Anchor {
    /// How far along a label its place is.
    fn share(self) -> f64 {
        match self {
            Self::Start => 0.0,
            Self::Middle => 0.5,
            Self::End => 1.0,
        }
    }

    /// The attribute that says so; nothing for the middle, which is the rule.
    fn attribute(self) -> &'static str {
        match self {
            Self::Start => " text-anchor=\"start\"",
            Self::Middle => "",
            Self::End => " text-anchor=\"end\"",
        }
    }
}

/// How a label or line is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tone {
    /// A figure of this part.
    Plain,
    /// What stands around it.
    Soft,
    /// A limit that is met or nearly missed.
    Near,
    /// A limit that is not met.
    Bad,
}

impl Tone {
    /// The color: that of the text around the drawing, or a custom property with a fallback.
    pub(super) fn color(self) -> &'static str {
        match self {
            Self::Plain => "currentColor",
            Self::Soft => "var(--draw-soft,#51616b)",
            Self::Near => "var(--draw-near,#96590a)",
            Self::Bad => "var(--draw-bad,#a3271f)",
        }
    }
}

impl Tone {
    /// The attribute that fills letters so; nothing for what is plain, which is the rule.
    fn fill(self) -> String {
        if self == Self::Plain { String::new() } else { format!(" fill=\"{}\"", self.color()) }
    }
}

/// A label, in the drawing's units; its place is the left end of its base line.
#[derive(Clone, Debug)]
pub(super) struct Label {
    anchor: Anchor,
    left: f64,
    base: f64,
    width: f64,
    text: String,
    tone: Tone,
}

impl Label {
    /// Left, top, right and bottom of the room it takes at most.
    #[cfg(test)]
    pub(super) fn room(&self) -> [f64; 4] {
        [self.left, self.base - LETTERS * 0.93, self.left + self.width, self.base + LETTERS * 0.24]
    }

    /// What it says.
    #[cfg(test)]
    pub(super) fn text(&self) -> &str {
        &self.text
    }
}

/// A drawing in the making.
#[derive(Debug)]
pub(super) struct Canvas {
    width: f64,
    height: f64,
    shapes: String,
    labels: Vec<Label>,
    /// How the last line was drawn, while another may still be added to it.
    pen: Option<String>,
}

impl Canvas {
    /// An empty drawing of this size.
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self { width, height, shapes: String::new(), labels: Vec::new(), pen: None }
    }

    /// Adds a shape as it stands; nothing in it may come from a sheet.
    pub(super) fn shape(&mut self, svg: &str) {
        self.lift();
        self.shapes.push_str(svg);
    }

    /// Draws a line of these steps with these attributes; lines alike in a row are one element.
    pub(super) fn line(&mut self, steps: &str, attributes: &str) {
        if self.pen.as_deref() != Some(attributes) {
            self.lift();
            self.shapes.push_str("<path fill=\"none\" d=\"");
            self.pen = Some(attributes.to_owned());
        }
        self.shapes.push_str(steps);
    }

    /// Ends the line being drawn.
    fn lift(&mut self) {
        if let Some(attributes) = self.pen.take() {
            let _ = write!(self.shapes, "\" {attributes}/>");
        }
    }

    /// Adds a label, kept within the drawing.
    pub(super) fn label(&mut self, x: f64, base: f64, anchor: Anchor, tone: Tone, text: &str) {
        let width = width_of(text);
        let left = x - width * anchor.share();
        let left = left.min(self.width - width - 2.0).max(2.0);
        self.labels.push(Label { anchor, left, base, width, text: clean(text), tone });
    }

    /// Width and height.
    #[cfg(test)]
    pub(super) fn size(&self) -> (f64, f64) {
        (self.width, self.height)
    }

    /// The labels so far.
    #[cfg(test)]
    pub(super) fn labels(&self) -> &[Label] {
        &self.labels
    }

    /// The whole element. `data` are further attributes of it, each with a space before it.
    pub(super) fn into_svg(mut self, prefix: &str, title: &str, telling: &str, data: &str) -> String {
        self.lift();
        let prefix = escaped(prefix);
        let (width, height) = (fixed(self.width), fixed(self.height));
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
             aria-labelledby=\"{prefix}-t\" aria-describedby=\"{prefix}-d\" font-size=\"{LETTERS}\"{data}>\
             <title id=\"{prefix}-t\">{}</title><desc id=\"{prefix}-d\">{}</desc>{}",
            escaped(title),
            escaped(telling),
            self.shapes
        );
        // Letters stand on a seam of paper, so that a line that passes behind does not strike them out.
        svg.push_str(
            "<g paint-order=\"stroke\" stroke=\"var(--draw-paper,#fffdf8)\" stroke-width=\"3\" \
             stroke-linejoin=\"round\" text-anchor=\"middle\" fill=\"currentColor\">",
        );
        for label in &self.labels {
            let _ = write!(
                svg,
                "<text x=\"{}\" y=\"{}\"{}{}>{}</text>",
                fixed(label.left + label.width * label.anchor.share()),
                fixed(label.base),
                label.anchor.attribute(),
                label.tone.fill(),
                escaped(&label.text)
            );
        }
        svg.push_str("</g></svg>");
        svg
    }
}

/// A place in the drawing to a tenth of its unit, which is less than a screen shows.
pub(super) fn fixed(number: f64) -> String {
    let rounded = (number * 10.0).round() / 10.0;
    if rounded == 0.0 { "0".to_owned() } else { rounded.to_string() }
}

/// A text as the content of an element or a quoted attribute.
pub(super) fn escaped(text: &str) -> String {
    quick_xml::escape::escape(clean(text)).into_owned()
}

/// The width of a text in the letters of a drawing: that of a wide common face, so that a page's own
/// face seldom needs more.
pub(super) fn width_of(text: &str) -> f64 {
    let share = |letter: char| match letter {
        ' ' | '.' | ',' | ':' | ';' | 'i' | 'j' | 'l' | '\'' | '|' => 0.34,
        '(' | ')' | 'f' | 'r' | 't' | '-' | '/' | 'I' => 0.43,
        'm' | 'M' | 'W' => 1.0,
        'w' | 'G' | 'O' | 'Q' | 'D' | 'H' | 'N' | 'U' | '+' | '\u{d8}' => 0.84,
        letter if letter.is_ascii_lowercase() || letter.is_ascii_digit() => 0.645,
        letter if letter.is_ascii() => 0.75,
        _ => 1.0,
    };
    text.chars().map(share).sum::<f64>() * LETTERS
}

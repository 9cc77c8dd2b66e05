//! Changes to XML text by splicing: what is not changed stays byte for byte.
//!
//! A reader finds where tags stand; the text itself is never written anew.

use std::ops::Range;

use quick_xml::events::Event;

use super::problem::PartFault;

/// How a tag stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    /// `<row>`
    Open,
    /// `</row>`
    Close,
    /// `<row/>`
    Empty,
}

/// One tag of an XML text.
#[derive(Clone, Debug)]
pub(super) struct Tag<'x> {
    /// The whole tag, brackets included.
    pub(super) text: &'x str,
    /// Where it stands in the text.
    pub(super) span: Range<usize>,
    /// How it stands.
    pub(super) standing: Standing,
    /// How many elements it stands within.
    pub(super) depth: usize,
}

impl<'x> Tag<'x> {
    /// The name as written, prefix included.
    pub(super) fn name(&self) -> &'x str {
        let inner = self.text.trim_start_matches(['<', '/']);
        inner
            .split(|letter: char| letter.is_ascii_whitespace() || matches!(letter, '/' | '>'))
            .next()
            .unwrap_or("")
    }

    /// The name without its prefix.
    pub(super) fn local(&self) -> &'x str {
        self.name().rsplit(':').next().unwrap_or("")
    }

    /// The prefix with its colon; empty where there is none.
    pub(super) fn prefix(&self) -> &'x str {
        let name = self.name();
        name.rfind(':').map_or("", |at| &name[..=at])
    }

    /// The value of an attribute by its full name, with character references resolved.
    pub(super) fn attribute(&self, name: &str) -> Option<String> {
        attributes(self.text).find(|found| found.name == name).map(|found| unescaped(found.value))
    }

    /// The value of the first attribute that has this name behind some prefix.
    pub(super) fn attribute_behind_prefix(&self, local: &str) -> Option<String> {
        let has = |name: &str| name.rsplit_once(':').is_some_and(|(_, rest)| rest == local);
        attributes(self.text).find(|found| has(found.name)).map(|found| unescaped(found.value))
    }

    /// Whether it begins an element.
    pub(super) fn begins(&self) -> bool {
        self.standing != Standing::Close
    }
}

/// One attribute as it stands in a tag.
pub(super) struct Attribute<'x> {
    pub(super) name: &'x str,
    pub(super) value: &'x str,
    /// From the blank before the name to behind the closing quotation mark.
    span: Range<usize>,
}

/// The attributes of a tag, in order.
pub(super) fn attributes(tag: &str) -> impl Iterator<Item = Attribute<'_>> {
    let mut at = tag.find(|letter: char| letter.is_ascii_whitespace()).unwrap_or(tag.len());
    std::iter::from_fn(move || {
        let rest = tag.get(at..)?;
        let equals = at + rest.find('=')?;
        let name = tag[at..equals].trim();
        let open = equals + 1 + tag[equals + 1..].find(['"', '\''])?;
        let mark = tag[open..].chars().next()?;
        let close = open + 1 + tag[open + 1..].find(mark)?;
        let found = Attribute { name, value: &tag[open + 1..close], span: at..close + 1 };
        at = close + 1;
        Some(found)
    })
}

/// A tag with an attribute set to a value; the value is escaped here.
pub(super) fn with_attribute(tag: &str, name: &str, value: &str) -> String {
    let written = format!(" {name}=\"{}\"", escaped(value));
    if let Some(found) = attributes(tag).find(|found| found.name == name) {
        return format!("{}{written}{}", &tag[..found.span.start], &tag[found.span.end..]);
    }
    let name_end = tag
        .find(|letter: char| letter.is_ascii_whitespace() || matches!(letter, '/' | '>'))
        .unwrap_or(tag.len());
    format!("{}{written}{}", &tag[..name_end], &tag[name_end..])
}

/// A tag without an attribute.
pub(super) fn without_attribute(tag: &str, name: &str) -> String {
    match attributes(tag).find(|found| found.name == name) {
        Some(found) => format!("{}{}", &tag[..found.span.start], &tag[found.span.end..]),
        None => tag.to_owned(),
    }
}

/// An empty element's tag as the tag that opens it.
pub(super) fn opened(tag: &str) -> String {
    match tag.strip_suffix("/>") {
        Some(start) => format!("{}>", start.trim_end()),
        None => tag.to_owned(),
    }
}

/// Visits every tag of a text.
///
/// # Errors
/// [`PartFault::NotXml`] where the text is not XML.
pub(super) fn walk<'x>(
    xml: &'x str,
    mut visit: impl FnMut(Tag<'x>) -> Result<(), PartFault>,
) -> Result<(), PartFault> {
    let mark = if xml.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let body = &xml[mark..];
    let mut reader = quick_xml::Reader::from_str(body);
    let mut depth = 0_usize;
    let place = |position: u64| usize::try_from(position).map_err(|_| PartFault::NotXml);
    loop {
        let from = place(reader.buffer_position())?;
        let event = reader.read_event().map_err(|_| PartFault::NotXml)?;
        let to = place(reader.buffer_position())?;
        let standing = match event {
            Event::Start(_) => Standing::Open,
            Event::End(_) => Standing::Close,
            Event::Empty(_) => Standing::Empty,
            Event::Eof => break,
            _ => continue,
        };
        let text = body.get(from..to).filter(|text| text.starts_with('<')).ok_or(PartFault::NotXml)?;
        if standing == Standing::Close {
            depth = depth.checked_sub(1).ok_or(PartFault::NotXml)?;
        }
        visit(Tag { text, span: from + mark..to + mark, standing, depth })?;
        if standing == Standing::Open {
            depth += 1;
        }
    }
    if depth == 0 { Ok(()) } else { Err(PartFault::NotXml) }
}

/// Changes gathered for one text.
#[derive(Debug, Default)]
pub(super) struct Edits(Vec<(Range<usize>, String)>);

impl Edits {
    /// Puts text in at a place.
    pub(super) fn insert(&mut self, at: usize, text: impl Into<String>) {
        self.0.push((at..at, text.into()));
    }

    /// Puts text in place of what stands there.
    pub(super) fn replace(&mut self, span: Range<usize>, text: impl Into<String>) {
        self.0.push((span, text.into()));
    }

    /// The text with all changes made. What was put in at one place stands in the order given.
    ///
    /// # Errors
    /// [`PartFault::NotXml`] where changes overlap, which no well-formed part brings about.
    pub(super) fn apply(mut self, xml: &str) -> Result<String, PartFault> {
        self.0.sort_by_key(|(span, _)| span.start);
        let mut changed =
            String::with_capacity(xml.len() + self.0.iter().map(|(_, text)| text.len()).sum::<usize>());
        let mut at = 0;
        for (span, text) in self.0 {
            changed.push_str(xml.get(at..span.start).ok_or(PartFault::NotXml)?);
            changed.push_str(&text);
            at = span.end;
        }
        changed.push_str(xml.get(at..).ok_or(PartFault::NotXml)?);
        Ok(changed)
    }
}

/// Text for an element or attribute: marked-up, and without the characters that XML 1.0 forbids.
pub(super) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\t' | '\n' => safe.push(letter),
            '\r' => safe.push(' '),
            '\u{fffe}' | '\u{ffff}' => safe.push('\u{fffd}'),
            control if control.is_control() => safe.push('\u{fffd}'),
            other => safe.push(other),
        }
    }
    safe
}

/// The most characters a cell can hold, by ECMA-376 programs (from memory: 32,767), with room to say more is left.
const LONGEST: usize = 32_000;

/// Text for a cell: escaped, cut to what a cell can hold, and so that no program reads `_x0041_` as a letter.
pub(super) fn cell_text(text: &str) -> String {
    let mut cut: String = text.chars().take(LONGEST).collect();
    if cut.len() < text.len() {
        cut.push('…');
    }
    let mut safe = String::with_capacity(cut.len());
    let mut rest = cut.as_str();
    while let Some(at) = rest.find("_x") {
        let code = rest.as_bytes().get(at + 2..at + 7);
        let is_code = code
            .is_some_and(|code| code.iter().take(4).all(u8::is_ascii_hexdigit) && code.get(4) == Some(&b'_'));
        safe.push_str(&rest[..at]);
        safe.push_str(if is_code { "_x005F_x" } else { "_x" });
        rest = &rest[at + 2..];
    }
    safe.push_str(rest);
    escaped(&safe)
}

fn unescaped(text: &str) -> String {
    quick_xml::escape::unescape(text).map_or_else(|_| text.to_owned(), std::borrow::Cow::into_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_found_where_they_stand() {
        let xml = "\u{feff}<?xml version='1.0'?>\n<a:b x='1'>t<c/>&amp; <d y=\"2\"></d></a:b>";
        let mut seen = Vec::new();
        walk(xml, |tag| {
            assert_eq!(&xml[tag.span.clone()], tag.text);
            seen.push((tag.local(), tag.prefix(), tag.standing, tag.depth));
            Ok(())
        })
        .unwrap();
        assert_eq!(
            seen,
            [
                ("b", "a:", Standing::Open, 0),
                ("c", "", Standing::Empty, 1),
                ("d", "", Standing::Open, 1),
                ("d", "", Standing::Close, 1),
                ("b", "a:", Standing::Close, 0),
            ]
        );
        assert!(walk("<a><b></a>", |_| Ok(())).is_err());
        assert!(walk("<a>", |_| Ok(())).is_err());
    }

    #[test]
    fn attributes_are_set_in_place_or_added() {
        assert_eq!(with_attribute("<c r=\"A1\" s='5' t=\"s\">", "s", "7"), "<c r=\"A1\" s=\"7\" t=\"s\">");
        assert_eq!(with_attribute("<c/>", "s", "7"), "<c s=\"7\"/>");
        assert_eq!(without_attribute("<v a=\"1\" b=\"2\"/>", "a"), "<v b=\"2\"/>");
        assert_eq!(opened("<v a=\"1\" />"), "<v a=\"1\">");
    }

    #[test]
    fn text_carries_neither_markup_nor_codes_nor_control_characters() {
        assert_eq!(cell_text("<b>&\u{1}_x0041_ a_x"), "&lt;b&gt;&amp;\u{fffd}_x005F_x0041_ a_x");
    }
}

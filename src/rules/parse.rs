//! Tokens to a tree, by how tightly operators bind; never panics, and gives up beyond a depth.
//!
//! From loose to tight: `or`, `and`, `not`, comparisons (with `allowing`), `+ -`, `* /`, sign,
//! `else`. Comparisons do not chain: `a < b < c` is an error, since people read it two ways.

use thiserror::Error;

use crate::document::Span;
pub use crate::document::SyntaxFault;
use crate::facts::value::BILLION;
use crate::rules::lex::{Placed, StrangeLetter, Token, lex};
use crate::rules::tree::{Arithmetic, Comparison, Expr, Node, Place};

/// Deeper nesting than this is refused: nobody can review it, and the stack is not endless.
pub const DEEPEST: usize = 60;

/// More operations than this in a row, counted over the whole expression, are refused: each takes the ones
/// before it as its left side, so a long row is a deep tree.
pub const MOST_IN_A_ROW: usize = 200;

/// Why a text is no expression, and where.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{what}")]
pub struct SyntaxProblem {
    /// Where in the text.
    pub span: Span,
    /// What is wrong there.
    pub what: SyntaxFault,
}

/// The tree of an expression.
///
/// # Errors
/// [`SyntaxProblem`] with the first place at which the text is no expression.
pub fn parse(text: &str) -> Result<Expr, SyntaxProblem> {
    let tokens = lex(text).map_err(|StrangeLetter { at }| {
        let letter = text[at..].chars().next();
        let quote = matches!(letter, Some('"' | '\''));
        let length = letter.map_or(0, char::len_utf8);
        SyntaxProblem {
            span: Span { start: at, end: at + length },
            what: if quote { SyntaxFault::OpenText } else { SyntaxFault::StrangeLetter },
        }
    })?;
    let mut parser = Parser { tokens: &tokens, next: 0, depth: 0, in_a_row: 0, end: text.len() };
    let tree = parser.or()?;
    match parser.peek() {
        None => Ok(tree),
        Some(Placed { token: Token::Sign("="), span }) => Err(problem(*span, SyntaxFault::SingleEquals)),
        Some(placed) => Err(problem(placed.span, SyntaxFault::LeftOver)),
    }
}

fn problem(span: Span, what: SyntaxFault) -> SyntaxProblem {
    SyntaxProblem { span, what }
}

struct Parser<'t> {
    tokens: &'t [Placed],
    next: usize,
    depth: usize,
    in_a_row: usize,
    end: usize,
}

type Parsed = Result<Expr, SyntaxProblem>;

const KEYWORDS: [&str; 8] = ["and", "or", "not", "in", "has", "any", "allowing", "else"];

impl<'t> Parser<'t> {
    fn peek(&self) -> Option<&'t Placed> {
        self.tokens.get(self.next)
    }

    fn here(&self) -> Span {
        self.peek().map_or(Span { start: self.end, end: self.end }, |placed| placed.span)
    }

    fn sign(&mut self, sign: &str) -> bool {
        let found = matches!(self.peek(), Some(Placed { token: Token::Sign(found), .. }) if *found == sign);
        self.next += usize::from(found);
        found
    }

    fn keyword(&mut self, keyword: &str) -> bool {
        let found = matches!(self.peek(), Some(Placed { token: Token::Word(word), .. }) if word == keyword);
        self.next += usize::from(found);
        found
    }

    fn deeper(&mut self, inner: impl FnOnce(&mut Self) -> Parsed) -> Parsed {
        if self.depth == DEEPEST {
            return Err(problem(self.here(), SyntaxFault::TooDeep));
        }
        self.depth += 1;
        let parsed = inner(self);
        self.depth -= 1;
        parsed
    }

    /// Counts one more operation in a row, whose sign stands just before.
    fn one_more(&mut self) -> Result<(), SyntaxProblem> {
        if self.in_a_row == MOST_IN_A_ROW {
            return Err(problem(self.here(), SyntaxFault::TooLong));
        }
        self.in_a_row += 1;
        Ok(())
    }

    fn or(&mut self) -> Parsed {
        self.deeper(|parser| parser.list_of("or", Self::and, Node::Or))
    }

    fn and(&mut self) -> Parsed {
        self.list_of("and", Self::not, Node::And)
    }

    fn list_of(
        &mut self,
        keyword: &str,
        item: fn(&mut Self) -> Parsed,
        node: fn(Vec<Expr>) -> Node,
    ) -> Parsed {
        let first = item(self)?;
        let mut items = vec![first];
        while self.keyword(keyword) {
            items.push(item(self)?);
        }
        Ok(match items.len() {
            1 => items.swap_remove(0),
            _ => {
                let span = across(&items[0], &items[items.len() - 1]);
                Expr { span, node: node(items) }
            }
        })
    }

    fn not(&mut self) -> Parsed {
        let start = self.here().start;
        if !self.keyword("not") {
            return self.comparison();
        }
        let inner = self.deeper(Self::not)?;
        Ok(Expr { span: Span { start, end: inner.span.end }, node: Node::Not(Box::new(inner)) })
    }

    fn comparison(&mut self) -> Parsed {
        let left = self.sum()?;
        let Some(comparison) = self.comparison_sign() else {
            return Ok(left);
        };
        let right = self.sum()?;
        let allowing = if self.keyword("allowing") { Some(Box::new(self.sum()?)) } else { None };
        let again = self.here();
        if self.comparison_sign().is_some() {
            return Err(problem(again, SyntaxFault::Chained));
        }
        let end = allowing.as_ref().map_or(right.span.end, |allowing| allowing.span.end);
        let span = Span { start: left.span.start, end };
        let node = Node::Compare { comparison, left: Box::new(left), right: Box::new(right), allowing };
        Ok(Expr { span, node })
    }

    fn comparison_sign(&mut self) -> Option<Comparison> {
        use Comparison::{Above, AtLeast, AtMost, Below, Differs, Has, HasAny, In, Same};
        for comparison in [AtLeast, AtMost, Same, Differs, Above, Below] {
            if self.sign(comparison.text()) {
                return Some(comparison);
            }
        }
        if self.keyword("in") {
            return Some(In);
        }
        if self.keyword("has") {
            return Some(if self.keyword("any") { HasAny } else { Has });
        }
        None
    }

    fn sum(&mut self) -> Parsed {
        self.chain(&[Arithmetic::Add, Arithmetic::Subtract], Self::product)
    }

    fn product(&mut self) -> Parsed {
        self.chain(&[Arithmetic::Multiply, Arithmetic::Divide], Self::signed)
    }

    fn chain(&mut self, operations: &[Arithmetic], item: fn(&mut Self) -> Parsed) -> Parsed {
        let mut left = item(self)?;
        while let Some(operation) = operations.iter().copied().find(|operation| self.sign(operation.text())) {
            self.one_more()?;
            let right = item(self)?;
            let span = across(&left, &right);
            left = Expr { span, node: Node::Arithmetic(operation, Box::new(left), Box::new(right)) };
        }
        Ok(left)
    }

    fn signed(&mut self) -> Parsed {
        let start = self.here().start;
        if !self.sign("-") {
            return self.fallback();
        }
        let inner = self.deeper(Self::signed)?;
        Ok(Expr { span: Span { start, end: inner.span.end }, node: Node::Negative(Box::new(inner)) })
    }

    fn fallback(&mut self) -> Parsed {
        let mut first = self.single()?;
        while self.keyword("else") {
            self.one_more()?;
            let second = self.single()?;
            let span = across(&first, &second);
            first = Expr { span, node: Node::Else(Box::new(first), Box::new(second)) };
        }
        Ok(first)
    }

    fn single(&mut self) -> Parsed {
        let Some(placed) = self.peek() else {
            return Err(problem(self.here(), SyntaxFault::ValueMissing));
        };
        let span = placed.span;
        self.next += 1;
        let node = match &placed.token {
            // Hundreds of digits are infinite in base units, and no fact is.
            Token::Number(count, unit)
                if !unit.map_or(*count * BILLION, |unit| unit.to_base(*count)).is_finite() =>
            {
                return Err(problem(span, SyntaxFault::TooLarge));
            }
            Token::Number(count, unit) => Node::Number { count: *count, unit: *unit },
            Token::Text(text) => Node::Text(text.clone()),
            Token::Word(word) if word == "true" => Node::Flag(true),
            Token::Word(word) if word == "false" => Node::Flag(false),
            Token::Word(word) if KEYWORDS.contains(&word.as_str()) => {
                return Err(problem(span, SyntaxFault::ValueMissing));
            }
            Token::Word(word) if self.sign("(") => {
                let (arguments, end) = self.items(span, ")")?;
                let node = Node::Call { name: word.clone(), name_span: Place(span), arguments };
                return Ok(Expr { span: Span { start: span.start, end }, node });
            }
            Token::Word(word) => Node::Name(word.clone()),
            Token::Sign("(") => {
                let inner = self.or()?;
                if !self.sign(")") {
                    return Err(problem(span, SyntaxFault::OpenBracket));
                }
                return Ok(inner);
            }
            Token::Sign("[") => {
                let (items, end) = self.items(span, "]")?;
                return Ok(Expr { span: Span { start: span.start, end }, node: Node::List(items) });
            }
            Token::Sign("=") => return Err(problem(span, SyntaxFault::SingleEquals)),
            Token::Sign(_) => return Err(problem(span, SyntaxFault::ValueMissing)),
        };
        Ok(Expr { span, node })
    }

    /// The items up to a closing bracket, and where that ends.
    fn items(&mut self, opened: Span, close: &str) -> Result<(Vec<Expr>, usize), SyntaxProblem> {
        let mut items = Vec::new();
        loop {
            let end = self.here().end;
            if self.sign(close) {
                return Ok((items, end));
            }
            if !items.is_empty() && !self.sign(",") {
                return Err(problem(opened, SyntaxFault::OpenBracket));
            }
            items.push(self.or()?);
        }
    }
}

fn across(first: &Expr, last: &Expr) -> Span {
    Span { start: first.span.start, end: last.span.end }
}

#[cfg(test)]
mod tests {
    use super::{DEEPEST, MOST_IN_A_ROW, SyntaxFault, parse};

    #[test]
    fn binds_as_people_read_it() {
        for (text, printed) in [
            ("a >= b - 0.05 mm", "a >= b - 0.05 mm"),
            ("(a + b) * c >= 3 %", "(a + b) * c >= 3 %"),
            ("a and b or not c and d", "a and b or not c and d"),
            ("(a or b) and c", "(a or b) and c"),
            ("f(a) else b >= c / 2 allowing 1 kg", "f(a) else b >= c / 2 allowing 1 kg"),
            ("a - (b - c) > -d", "a - (b - c) > -d"),
            ("x has any ['p', \"q\"]", "x has any [\"p\", \"q\"]"),
            ("not (a == b)", "not a == b"),
        ] {
            assert_eq!(parse(text).unwrap().to_string(), printed, "{text}");
        }
    }

    #[test]
    fn says_what_is_wrong_and_where() {
        let endless = "9".repeat(305);
        for (text, marked, fault) in [
            ("a >=", "", SyntaxFault::ValueMissing),
            ("a = b", "=", SyntaxFault::SingleEquals),
            ("a < b < c", "<", SyntaxFault::Chained),
            ("(a or b", "(", SyntaxFault::OpenBracket),
            ("a b", "b", SyntaxFault::LeftOver),
            ("a & b", "&", SyntaxFault::StrangeLetter),
            ("a == \"b", "\"", SyntaxFault::OpenText),
            ("a >= and", "and", SyntaxFault::ValueMissing),
            (&format!("a >= {endless}"), &endless, SyntaxFault::TooLarge),
            (&format!("a >= {endless} mm"), &format!("{endless} mm"), SyntaxFault::TooLarge),
        ] {
            let problem = parse(text).unwrap_err();
            assert_eq!(problem.what, fault, "{text}");
            assert_eq!(&text[problem.span.start..problem.span.end], marked, "{text}");
        }
    }

    #[test]
    fn refuses_to_nest_without_end() {
        for open in ["(", "not ", "-", "f(", "["] {
            let text = open.repeat(100_000);
            assert_eq!(parse(&text).unwrap_err().what, SyntaxFault::TooDeep, "{open}");
        }
        assert!(parse(&format!("{}a{}", "(".repeat(DEEPEST - 2), ")".repeat(DEEPEST - 2))).is_ok());
    }

    #[test]
    fn refuses_rows_without_end() {
        for link in [" + a", " - a", " * a", " / a", " else a", " + (a * a)"] {
            let text = format!("a{}", link.repeat(100_000));
            assert_eq!(parse(&text).unwrap_err().what, SyntaxFault::TooLong, "{link}");
        }
        assert!(parse(&format!("a{}", " + a".repeat(MOST_IN_A_ROW))).is_ok());
        // These stand beside one another in the tree.
        assert!(parse(&format!("a{}", " and a".repeat(100_000))).is_ok());
    }
}

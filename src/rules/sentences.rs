//! What a rule says: the texts in its function, as they stand in the script,
//! with the holes that it fills. Read without running it.

/// One sentence of a script, and the byte at which its quotes open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Sentence {
    pub text: String,
    pub at: usize,
}

/// What is asked with a text and says nothing.
const ASKED: [&str; 2] = ["says(", "known("];

/// Every text in the functions of a script but those that ask for a fact or a
/// word, each once.
pub(super) fn sentences(script: &str) -> Vec<Sentence> {
    let mut found: Vec<Sentence> = Vec::new();
    let mut scan = Scan { text: script, at: 0 };
    let mut function: Option<usize> = None;
    let mut code = String::new();
    while let Some(c) = scan.next() {
        let at = scan.at - c.len_utf8();
        match c {
            '/' if scan.rest().starts_with('/') => scan.past("\n"),
            '/' if scan.rest().starts_with('*') => scan.past("*/"),
            '"' | '`' => {
                let text = scan.quoted(c);
                let asks = ASKED.iter().any(|a| code.ends_with(a));
                let inside = function.is_some_and(|depth| depth > 0);
                if inside && !asks && !found.iter().any(|s| s.text == text) {
                    found.push(Sentence { text, at });
                }
                code.clear();
            }
            '{' => function = function.map(|depth| depth + 1),
            '}' => function = function.and_then(|depth| depth.checked_sub(1)).filter(|depth| *depth > 0),
            c if c.is_whitespace() => {
                if code.ends_with("fn") && function.is_none() {
                    function = Some(0);
                    code.clear();
                }
            }
            c => code.push(c),
        }
    }
    found
}

struct Scan<'a> {
    text: &'a str,
    at: usize,
}

impl Scan<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn next(&mut self) -> Option<char> {
        let c = self.rest().chars().next()?;
        self.at += c.len_utf8();
        Some(c)
    }

    fn past(&mut self, end: &str) {
        self.at = self.rest().find(end).map_or(self.text.len(), |found| self.at + found + end.len());
    }

    /// The text up to the quotes that close it; holes keep what is in them.
    fn quoted(&mut self, quote: char) -> String {
        let mut text = String::new();
        if quote == '`' {
            // A line break right after the quote is not part of the text.
            let skipped = self.rest().starts_with('\n');
            self.at += usize::from(skipped);
        }
        while let Some(c) = self.next() {
            match c {
                '`' if quote == '`' && self.rest().starts_with('`') => {
                    self.next();
                    text.push('`');
                }
                c if c == quote => break,
                '$' if quote == '`' && self.rest().starts_with('{') => {
                    text.push('$');
                    self.hole(&mut text);
                }
                '\\' if quote == '"' => match self.next() {
                    Some('n') => text.push('\n'),
                    Some('t') => text.push('\t'),
                    Some(other) => text.push(other),
                    None => break,
                },
                c => text.push(c),
            }
        }
        text
    }

    fn hole(&mut self, text: &mut String) {
        let mut depth = 0_usize;
        while let Some(c) = self.next() {
            text.push(c);
            match c {
                '{' => depth += 1,
                '}' if depth <= 1 => return,
                '}' => depth -= 1,
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_that_are_told_are_found_and_no_others() {
        let script = "const ABOUT = #{ id: \"x\" };\n// \"a remark\"\nfn judge(site, limits) {\n\
            let d = site.d;\nif site.w.says(\"yes\") || site.known(\"d\") { return stop(`Too near: ${d}.`, \"Say \\\"no\\\".\"); }\n\
            /* \"another\" */ clear(\"Well.\")\n}\nconst LATER = \"not told\";\n";
        let found: Vec<String> = sentences(script).into_iter().map(|s| s.text).collect();
        assert_eq!(found, ["Too near: ${d}.", "Say \"no\".", "Well."]);
    }

    #[test]
    fn a_text_that_never_ends_ends_with_the_script() {
        assert_eq!(sentences("fn judge(site, limits) { clear(\"abc").len(), 1);
        assert_eq!(sentences("fn judge(site, limits) { clear(`a ${b").len(), 1);
    }
}

//! Small random changes to a text: of bytes, of numbers, of lines, and with
//! parts of other texts of its kind.

/// A seeded sequence (SplitMix64): the same seed gives the same changes.
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { (self.next() % n as u64) as usize }
    }

    pub fn one<'a, T: ?Sized>(&mut self, of: &[&'a T]) -> &'a T {
        of[self.below(of.len())]
    }
}

/// What numbers become.
const NUMBERS: &[&str] = &[
    "0",
    "-0",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "5e-324",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551616",
    "0.1e",
    "1_0",
    "0x10",
    "1,5",
    "89.9999999",
    "90",
    "180",
    "-180",
    "180.0000001",
    "360",
    "1e16",
    "999999999999999999999999999",
    "2026-02-30",
    "0000-00-00",
    "9999-12-31",
];

/// What is put in anywhere.
const WORDS: &[&str] = &[
    "\"",
    "'",
    "\"\"\"",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "(",
    ")",
    ",",
    ";",
    ":",
    "=",
    ".",
    "\n",
    "\r",
    "\r\n",
    "\t",
    "\0",
    "\\",
    "\\u0000",
    "\\uD800",
    "\u{FEFF}",
    "\u{202E}",
    "é",
    "µ",
    "°",
    "½",
    "\u{1F4A7}",
    "NA",
    "null",
    "true",
    "unknown",
    "none",
    "#",
    "//",
    "/*",
    "*/",
    "`",
    "${",
    "#{",
    "Point",
    "Polygon",
    "LineString",
    "MultiPolygon",
    "GeometryCollection",
    "coordinates",
    "FeatureCollection",
    "feet",
    " m",
    "clear(\"x\")",
    "site.",
    "limits.",
    "if ",
    "return ",
    "let ",
    "const ",
];

/// `text` with a few changes; `others` are texts of its kind.
pub fn mutate(text: &[u8], others: &[Vec<u8>], random: &mut Random) -> Vec<u8> {
    let mut text = text.to_vec();
    for _ in 0..1 + random.below(4) {
        change(&mut text, others, random);
        text.truncate(1 << 16);
    }
    text
}

fn change(text: &mut Vec<u8>, others: &[Vec<u8>], random: &mut Random) {
    let len = text.len();
    let (a, b) = (random.below(len + 1), random.below(len + 1));
    let (from, to) = (a.min(b), a.max(b));
    let short = (from + random.below(12)).min(len);
    match random.below(10) {
        0 if len > 0 => text[from.min(len - 1)] ^= 1 << random.below(8),
        1 => drop(text.drain(from..short)),
        2 => drop(text.splice(from..from, random.one(WORDS).bytes())),
        3 => drop(text.splice(from..short, random.one(WORDS).bytes())),
        4 => number(text, from, random),
        5 => drop_line(text, from),
        6 => {
            let line = line_at(text, from).to_vec();
            let at = line_start(text, to);
            text.splice(at..at, line);
        }
        7 => {
            let part = text[from..to.min(from + 400)].to_vec();
            let times = 1 + random.below(8);
            text.splice(from..from, part.repeat(times));
        }
        8 if !others.is_empty() => {
            let other = &others[random.below(others.len())];
            let start = random.below(other.len() + 1);
            let end = (start + random.below(300)).min(other.len());
            text.splice(from..short, other[start..end].to_vec());
        }
        _ => number(text, from, random),
    }
}

/// Puts another number in the place of one, the next after `from`.
fn number(text: &mut Vec<u8>, from: usize, random: &mut Random) {
    let is = |b: &u8| b.is_ascii_digit();
    let Some(start) = text[from..].iter().position(is).map(|n| n + from) else { return };
    let end = text[start..].iter().position(|b| !is(b) && *b != b'.').map_or(text.len(), |n| n + start);
    text.splice(start..end, random.one(NUMBERS).bytes());
}

fn line_start(text: &[u8], at: usize) -> usize {
    text[..at].iter().rposition(|b| *b == b'\n').map_or(0, |n| n + 1)
}

fn line_at(text: &[u8], at: usize) -> &[u8] {
    let start = line_start(text, at);
    let end = text[start..].iter().position(|b| *b == b'\n').map_or(text.len(), |n| start + n + 1);
    &text[start..end]
}

fn drop_line(text: &mut Vec<u8>, at: usize) {
    let start = line_start(text, at);
    let end = start + line_at(text, at).len();
    text.drain(start..end);
}

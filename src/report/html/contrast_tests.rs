//! The contrasts of the style sheet, reckoned as WCAG 2.2 does: 4.5 to 1 for
//! text, 3 to 1 for marks (success criteria 1.4.3 and 1.4.11).

const STYLE: &str = include_str!("style.css");

/// The colours of the light page or, from where it stands, of the dark one.
fn colour(dark: bool, name: &str) -> [f64; 3] {
    let block = |text: &'static str| text.split('}').next().unwrap_or_default();
    let light = block(STYLE);
    let dark_part = STYLE.split("prefers-color-scheme: dark) {").nth(1).map(block).unwrap_or_default();
    let find = |text: &str| Some(text.split(&format!("--{name}: #")).nth(1)?.get(..6)?.to_owned());
    let hex = dark.then(|| find(dark_part)).flatten().or_else(|| find(light));
    let hex = hex.unwrap_or_else(|| panic!("no colour {name}"));
    let part = |at: usize| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
    [part(0), part(2), part(4)]
}

fn luminance(colour: [f64; 3]) -> f64 {
    let linear = |c: f64| if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
    let [r, g, b] = colour.map(linear);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(dark: bool, one: &str, other: &str) -> f64 {
    let [a, b] = [one, other].map(|name| luminance(colour(dark, name)));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn text_stands_out_from_its_ground() {
    let pairs = [
        ("ink", "page"),
        ("quiet", "page"),
        ("link", "page"),
        ("quiet", "soft"),
        ("on", "stop"),
        ("on", "find"),
        ("on", "if"),
        ("on", "go"),
    ];
    for dark in [false, true] {
        for (text, ground) in pairs {
            let c = contrast(dark, text, ground);
            assert!(c >= 4.5, "{text} on {ground}, dark {dark}: {c:.2}");
        }
    }
}

#[test]
fn marks_stand_out_from_the_page() {
    let marks = ["line", "vermillion", "purple", "blue", "green", "orange", "grey", "zone"];
    for dark in [false, true] {
        for mark in marks {
            let c = contrast(dark, mark, "page");
            assert!(c >= 3.0, "{mark}, dark {dark}: {c:.2}");
        }
    }
}

#[test]
fn strokes_stand_out_from_their_fills() {
    let fills = [
        "soil",
        "sand",
        "running-sand",
        "silt",
        "clay",
        "gravel",
        "boulders",
        "laterite",
        "saprolite",
        "sandstone",
        "limestone",
        "rock",
        "f-refused",
        "f-thin-screen",
        "f-low-yield",
        "f-poor-quality",
    ];
    for dark in [false, true] {
        for fill in fills {
            let c = contrast(dark, "grain", fill);
            assert!(c >= 3.0, "{fill}, dark {dark}: {c:.2}");
        }
    }
}

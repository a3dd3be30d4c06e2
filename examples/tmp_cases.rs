use forebore::*;
fn main() {
    let (mut s, mut p) = (diag::Sources::new(), diag::Problems::new());
    let set = rules::RuleSet::folder(std::path::Path::new("rules"), &mut s, &mut p);
    let r = region::load(region::UNSTATED, None, &mut s, &mut p);
    println!("{}", diag::render(&p, &s, false));
    let r = r.unwrap();
    let rep = tune::check_cases(&set, &r.limits, |f| std::fs::read_to_string(f).ok(), &mut s, &mut p);
    for rule in &set.rules {
        if let Ok(a) = &rule.about {
            for l in &a.limits {
                if !r.limits.contains_key(l) {
                    println!("no limit {l} for {}", rule.id);
                }
            }
        }
    }
    println!("{}", diag::render(&p, &s, false));
    println!("{rep:?} {} rules", set.rules.len());
}

use forebore::{place::*, survey::*};
use std::time::Instant;
#[test]
fn t() {
    let at = |a, b| LonLat::new(a, b).unwrap();
    let n = 80;
    let mut r: Vec<LonLat> =
        (0..n).map(|i| at(-180.0 + 360.0 / n as f64 * i as f64, 60.0 + (i * 37 % 29) as f64)).collect();
    r.push(r[0]);
    let s = Shape::Polygons(vec![vec![r]]);
    let t = Instant::now();
    let ix = PlaceIndex::build([(0, 0, &s)]);
    println!("build {:?}", t.elapsed());
    for p in [at(3.0, 55.0), at(3.0, 70.0), at(3.0, 90.0), at(3.0, -90.0)] {
        let t = Instant::now();
        let h = ix.nearest(p, 0);
        println!("{:?} {:?} {:?}", p, t.elapsed(), h);
    }
    let m = 20000;
    let ss: Vec<Shape> = (0..m)
        .map(|i| {
            let (x, y) = (33.0 + (i % 141) as f64 * 0.01, -14.0 + (i / 141) as f64 * 0.01);
            Shape::Lines(vec![
                (0..11).map(|j| at(x + 0.0002 * j as f64, y + 0.0001 * (j % 3) as f64)).collect(),
            ])
        })
        .collect();
    let t = Instant::now();
    let ix = PlaceIndex::build((0..).zip(&ss).map(|(i, s)| (i, 0, s)));
    println!("build 200k {:?}", t.elapsed());
    let t = Instant::now();
    let mut c = 0;
    for i in 0..100000 {
        let (x, y) = (33.0 + (i % 500) as f64 * 0.0029, -14.0 + (i / 500) as f64 * 0.007);
        c += ix.count_within(at(x, y), 200.0, None);
    }
    println!("100k {:?} {c}", t.elapsed());
    let t = Instant::now();
    let mut c = 0.0;
    for i in 0..100000 {
        let (x, y) = (33.0 + (i % 500) as f64 * 0.0029, -14.0 + (i / 500) as f64 * 0.007);
        c += ix.nearest(at(x, y), 0).unwrap().distance_m;
    }
    println!("100k nearest {:?} {c}", t.elapsed());
}

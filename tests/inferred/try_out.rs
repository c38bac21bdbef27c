use crate::flown::*;
use overflown::infer::infer;
use overflown::geodesy::geodesic;
use overflown::units::wrap_180;

pub fn text(pattern: &str) -> String {
    format!(
        "sortie = \"Heron 3\"\ndate = 2026-05-20\n[pattern]\n{pattern}\n[flight]\n\
         ground_speed = \"90 kt\"\naltitude = \"3000 ft\"\nbase = [46.30, 10.95]\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    )
}

#[test]
fn try_out() {
    let ps = "kind = \"parallel sweep\"\nstart = [46.4, 11.2]\nfirst_course = \"015 T\"\nturn = \"right\"\nspacing = \"0.5 NM\"\nleg_length = \"7 NM\"\nlegs = 10\n";
    let cs = "kind = \"creeping line\"\nstart = [46.4, 11.2]\nfirst_course = \"105 T\"\nturn = \"left\"\nspacing = \"1 NM\"\nleg_length = \"6 NM\"\nlegs = 9\n";
    let ss = "kind = \"expanding square\"\ndatum = [46.4, 11.2]\nfirst_course = \"250 T\"\nturn = \"right\"\nspacing = \"2 NM\"\nlegs = 9\n";
    let vs = "kind = \"sector\"\ndatum = [46.4, 11.2]\nfirst_course = \"025 T\"\nturn = \"right\"\nradius = \"6 NM\"\n";
    let vs2 = "kind = \"sector\"\ndatum = [46.4, 11.2]\nfirst_course = \"025 T\"\nturn = \"left\"\nradius = \"8 NM\"\nsecond_pass = true\n";
    let tsr = "kind = \"track line return\"\nline = [[46.4, 11.2], [46.6, 11.3]]\nturn = \"left\"\nspacing = \"1 NM\"\n";
    let tsn = "kind = \"track line non-return\"\nline = [[46.4, 11.2], [46.6, 11.3]]\nturn = \"left\"\nspacing = \"1 NM\"\npasses=3\n";
    for (name, pattern) in [("ps", ps), ("cs", cs), ("ss", ss), ("vs", vs), ("vs2", vs2), ("tsr", tsr), ("tsn", tsn)] {
        for seed in 1..=3 {
            let (plan, fixes) = fly(&text(pattern), vec![], seed);
            let first = plan.search_legs().next().unwrap().1;
            let count = plan.search_legs().count();
            for every in [Some(1.0), Some(5.0), Some(15.0), Some(30.0), Some(60.0), None] {
                for noise in [3.0, 30.0] {
                    let t0 = std::time::Instant::now();
                    let track = track(record(&fixes, Recorded { every_s: every, noise_m: noise }, seed));
                    match infer(&track) {
                        Err(e) => println!("{name} {seed} {every:?} {noise}: {e}"),
                        Ok(i) => {
                            let frame = first.frame();
                            let at = frame.locate(i.start);
                            println!("{name} {seed} {every:?} {noise}: {:?} axis {:.2}±{:.2} size {:.0}±{:.0} (plan S {:.0}) legs {}/{count} start along {:.0}±{:.0} across {:.0}±{:.0} len {:?} sd {:.0} turn {:?} kt {:.0} {:?} others {} [{:?}]",
                            i.pattern, wrap_180(i.first_course_deg.value - first.course.deg()), i.first_course_deg.within,
                            i.size.value.m(), i.size.within.m(), plan.spacing.m(), i.legs, at.along_m, i.start_along_within.m(), at.cross_m, i.start_across_within.m(),
                            i.leg_length.map(|l| (l.value.m().round() - first.length.m().round(), l.within.m().round())), i.scatter.m(), i.turn, i.ground_speed.kt(), std::mem::discriminant(&i.layout), i.others.len(), t0.elapsed());
                        }
                    }
                }
            }
            let _ = geodesic::distance(first.start, first.end);
        }
    }
}

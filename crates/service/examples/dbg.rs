use stemwise_circuit::*;
use stemwise_service::plan::*;
use stemwise_service::*;
use stemwise_units::*;
fn main() {
    let want: Vec<String> = std::env::args().skip(1).collect();
    for ex in examples() {
        if !want.is_empty() && !want[0].is_empty() && want[0] != ex.name {
            continue;
        }
        let r = read(ex.text.as_bytes());
        for p in &r.problems {
            println!("{} {}:{} {} {}", ex.name, p.line, p.column, p.id, p.say);
        }
        let Some(c) = r.circuit else { continue };
        let asm = Assembly::new(c, Rig::usual());
        let rf = Refrigerant::named(&asm.circuit.refrigerant).unwrap();
        for job in jobs(&asm.circuit) {
            if want.len() > 1 && !job.words().contains(&want[1]) {
                continue;
            }
            let t = std::time::Instant::now();
            let p = plan(&asm, &rf, &job);
            let el = t.elapsed();
            match p {
                Ok(p) => {
                    println!(
                        "== {} | {} | {:?} cost {:?} searched {} expanded {} steps {} {:?} warnings {:?}",
                        ex.name,
                        job.words(),
                        p.best.way,
                        p.best.cost,
                        p.best.searched_cost,
                        p.best.expanded,
                        p.best.steps.len(),
                        el,
                        p.warnings.iter().map(|f| f.rule).collect::<Vec<_>>()
                    );
                    for o in &p.others {
                        println!("    other {:?} {:?} {:?}", o.way, o.cost, o.because);
                    }
                    if want.len() > 1 {
                        let w = Words { assembly: &asm, units: UnitSystem::Ip };
                        for (i, s) in p.best.steps.iter().enumerate() {
                            println!(
                                "{:2} {:?} {}\n     why {} hold {:?} cautions {:?}\n     expect {:?}",
                                i + 1,
                                s.phase,
                                w.say(s, job.kind),
                                w.why(s),
                                s.hold.map(|h| w.hold(h)),
                                s.cautions,
                                s.expect
                                    .iter()
                                    .map(|e| format!(
                                        "{} {:.2}[{:.2}..{:.2}]bar",
                                        asm.graph.port(e.port).unwrap().id,
                                        e.pressure.as_bar(),
                                        e.low.as_bar(),
                                        e.high.as_bar()
                                    ))
                                    .collect::<Vec<_>>()
                            );
                        }
                    }
                }
                Err(e) => {
                    println!("== {} | {} NO WAY {:?} {:?} {:?}", ex.name, job.words(), e.missing, e.tried, el)
                }
            }
        }
    }
}

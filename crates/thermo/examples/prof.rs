use stemwise_thermo::*;
use stemwise_units::*;
fn main() {
    let name = std::env::args().nth(1).unwrap();
    let f = Fluid::named(&name).unwrap();
    let n: usize = std::env::args().nth(2).unwrap().parse().unwrap();
    let tc = f.critical_temperature().as_k();
    let mut s = 0.0;
    let t0 = std::time::Instant::now();
    for i in 0..n {
        let t = tc * (1.01 + 0.2 * ((i % 100) as f64) * 0.01);
        let r = f
            .raw_state(Given::TemperatureDensity(
                Temperature::from_k(t),
                Density::from_kg_per_m3(20.0 + (i % 37) as f64),
            ))
            .unwrap();
        s += r.h + r.w.unwrap();
    }
    println!("{s} {} ns", t0.elapsed().as_nanos() as f64 / n as f64);
}

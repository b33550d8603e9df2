//! The lanes against the scalar reference, at random states of every equation.

use super::scalar::Scalar;
use super::{Alpha, DAMPINGS, Equation, POWERS, ROOM};
use crate::data::{FILES, FluidData, Residual};

/// A fixed sequence of numbers from 0 to 1.
fn random(seed: &mut u64) -> f64 {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 11) as f64 / (1u64 << 53) as f64
}

/// What the sums are made of: the sizes of all terms, without their signs.
fn sizes(data: &FluidData, delta: f64, tau: f64) -> Alpha {
    let mut total = Alpha::default();
    for residual in &data.residual {
        for one in apart(residual) {
            let alpha = Scalar::of_terms(&[one]).residual(delta, tau);
            total.a += alpha.a.abs();
            total.d += alpha.d.abs();
            total.dd += alpha.dd.abs();
            total.t += alpha.t.abs();
            total.tt += alpha.tt.abs();
            total.dt += alpha.dt.abs();
        }
    }
    total
}

/// Each term alone: the factors of all others set to zero.
fn apart(residual: &Residual) -> Vec<Residual> {
    let (Residual::Power { n, .. }
    | Residual::DoubleExponential { n, .. }
    | Residual::Gaussian { n, .. }
    | Residual::GaoB { n, .. }
    | Residual::NonAnalytic { n, .. }) = residual;
    (0..n.len())
        .map(|keep| {
            let mut one = residual.clone();
            let (Residual::Power { n, .. }
            | Residual::DoubleExponential { n, .. }
            | Residual::Gaussian { n, .. }
            | Residual::GaoB { n, .. }
            | Residual::NonAnalytic { n, .. }) = &mut one;
            for (at, n) in n.iter_mut().enumerate() {
                if at != keep {
                    *n = 0.0;
                }
            }
            one
        })
        .collect()
}

#[track_caller]
fn close(what: &str, ours: &Alpha, reference: &Alpha, size: &Alpha) {
    let pairs = [
        ("a", ours.a, reference.a, size.a),
        ("d", ours.d, reference.d, size.d),
        ("dd", ours.dd, reference.dd, size.dd),
        ("t", ours.t, reference.t, size.t),
        ("tt", ours.tt, reference.tt, size.tt),
        ("dt", ours.dt, reference.dt, size.dt),
    ];
    for (name, ours, reference, size) in pairs {
        let gap = (ours - reference).abs();
        assert!(gap <= 1e-13 * size.max(1e-3), "{what} {name}: {ours:e}, {reference:e}, terms {size:e}");
    }
}

#[test]
fn lanes_agree_with_the_scalar_equation_at_random_states() {
    let mut seed = 7;
    for file in FILES {
        let data: FluidData = toml::from_str(file).unwrap();
        let (equation, scalar) = (Equation::new(&data), Scalar::new(&data));
        for n in 0..60 {
            let low = data.reducing_temperature / (1.5 * data.max_temperature);
            let high = data.reducing_temperature / data.min_temperature;
            let mut tau = low + (high - low) * random(&mut seed);
            let mut delta = 3.5 * random(&mut seed);
            if n % 4 == 0 {
                delta = libm::exp(-20.0 * random(&mut seed));
            }
            if n % 4 == 1 {
                (delta, tau) = (0.8 + 0.4 * random(&mut seed), 0.98 + 0.04 * random(&mut seed));
            }
            let what = format!("{} delta {delta} tau {tau}", data.name);
            let (residual, ideal, log_delta) = equation.whole(delta, tau);
            let size = sizes(&data, delta, tau);
            let reference = scalar.residual(delta, tau);
            close(&what, &residual, &reference, &size);
            close(&what, &equation.residual(delta, tau), &reference, &size);
            let isotherm = equation.at_tau(tau).residual(delta);
            let reference = Alpha { t: 0.0, tt: 0.0, dt: 0.0, ..reference };
            close(&what, &isotherm, &reference, &size);
            let reference = scalar.ideal(tau);
            let size = Alpha {
                a: reference.a.abs() + 10.0,
                t: reference.t.abs() + 10.0,
                tt: reference.tt.abs() + 10.0,
                ..Alpha::default()
            };
            close(&what, &ideal, &reference, &size);
            assert!((log_delta - libm::log(delta)).abs() <= 1e-15 * libm::log(delta).abs());
        }
    }
}

/// The ideal-gas part is evaluated by polynomials: as good as its terms over the whole range, and beyond it by the terms.
#[test]
fn the_ideal_part_agrees_over_its_range() {
    for file in FILES {
        let data: FluidData = toml::from_str(file).unwrap();
        let (equation, scalar) = (Equation::new(&data), Scalar::new(&data));
        for n in 0..1000 {
            let t = 0.8 * data.min_temperature + (1.7 * data.max_temperature) * f64::from(n) / 1000.0;
            let tau = data.reducing_temperature / t;
            let (ours, reference) = (equation.ideal(tau), scalar.ideal(tau));
            for (ours, reference) in [(ours.a, reference.a), (ours.t, reference.t), (ours.tt, reference.tt)] {
                let gap = (ours - reference).abs();
                assert!(gap < 3e-14 * (reference.abs() + 10.0), "{} {t} K: {ours} {reference}", data.name);
            }
        }
    }
}

#[test]
fn tables_hold_every_power_and_damping() {
    for file in FILES {
        let data: FluidData = toml::from_str(file).unwrap();
        let equation = Equation::new(&data);
        assert!(equation.highest < POWERS && equation.damped <= DAMPINGS, "{}", data.name);
        assert!(equation.rows() <= ROOM, "{}: {}", data.name, equation.rows());
        for residual in &data.residual {
            if let Residual::Power { d, l, .. } | Residual::DoubleExponential { d, l, .. } = residual {
                assert!(d.iter().chain(l).all(|power| power.fract().abs() < 1e-300), "{}", data.name);
            }
            if let Residual::Gaussian { d, .. } | Residual::GaoB { d, .. } = residual {
                assert!(d.iter().all(|power| power.fract().abs() < 1e-300), "{}", data.name);
            }
        }
    }
}

#[test]
fn outside_the_domain_there_is_no_number() {
    let data: FluidData = toml::from_str(FILES[0]).unwrap();
    let equation = Equation::new(&data);
    assert!(equation.residual(-1.0, 1.0).a.is_nan() && equation.residual(1.0, f64::NAN).a.is_nan());
    assert!(equation.at_tau(1.0).residual(0.0).d.is_nan());
}

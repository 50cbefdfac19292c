//! The models of the data sets, each with its derivatives.

use std::f64::consts::PI;

/// Value at x under parameters b; the derivatives by them go into the last.
type Value = fn(&[f64], &[f64], &mut [f64]) -> f64;

pub(super) struct Model {
    pub(super) name: &'static str,
    pub(super) value: Value,
    /// What the model is of: y, or a function of it.
    pub(super) response: fn(f64) -> f64,
}

const fn of(name: &'static str, value: Value) -> Model {
    Model {
        name,
        value,
        response: |y| y,
    }
}

pub(super) const MODELS: [Model; 27] = [
    of("Misra1a", misra1a),
    of("Misra1b", misra1b),
    of("Misra1c", misra1c),
    of("Misra1d", misra1d),
    of("Chwirut1", chwirut),
    of("Chwirut2", chwirut),
    of("DanWood", dan_wood),
    of("Lanczos1", lanczos),
    of("Lanczos2", lanczos),
    of("Lanczos3", lanczos),
    of("Gauss1", gauss),
    of("Gauss2", gauss),
    of("Gauss3", gauss),
    of("Kirby2", kirby2),
    of("Hahn1", cubics),
    of("Thurber", cubics),
    Model {
        name: "Nelson",
        value: nelson,
        response: f64::ln,
    },
    of("MGH09", mgh09),
    of("MGH10", mgh10),
    of("MGH17", mgh17),
    of("ENSO", enso),
    of("Roszman1", roszman1),
    of("BoxBOD", misra1a),
    of("Rat42", rat42),
    of("Rat43", rat43),
    of("Eckerle4", eckerle4),
    of("Bennett5", bennett5),
];

/// b₁(1 − exp(−b₂x)), also of BoxBOD.
fn misra1a(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (-b[1] * x[0]).exp();
    slopes.copy_from_slice(&[1.0 - e, b[0] * x[0] * e]);
    b[0] * (1.0 - e)
}

/// b₁(1 − (1 + b₂x/2)⁻²).
fn misra1b(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let base = 1.0 + b[1] * x[0] / 2.0;
    let rise = 1.0 - base.powi(-2);
    slopes.copy_from_slice(&[rise, b[0] * x[0] * base.powi(-3)]);
    b[0] * rise
}

/// b₁(1 − (1 + 2b₂x)^−½).
fn misra1c(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let base = 1.0 + 2.0 * b[1] * x[0];
    let rise = 1.0 - base.powf(-0.5);
    slopes.copy_from_slice(&[rise, b[0] * x[0] * base.powf(-1.5)]);
    b[0] * rise
}

/// b₁b₂x/(1 + b₂x).
fn misra1d(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let base = 1.0 + b[1] * x[0];
    let rise = b[1] * x[0] / base;
    slopes.copy_from_slice(&[rise, b[0] * x[0] / (base * base)]);
    b[0] * rise
}

/// exp(−b₁x)/(b₂ + b₃x).
fn chwirut(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let (x, bottom) = (x[0], b[1] + b[2] * x[0]);
    let y = (-b[0] * x).exp() / bottom;
    slopes.copy_from_slice(&[-x * y, -y / bottom, -x * y / bottom]);
    y
}

/// b₁x^b₂.
fn dan_wood(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let power = x[0].powf(b[1]);
    slopes.copy_from_slice(&[power, b[0] * power * x[0].ln()]);
    b[0] * power
}

/// Σ bⱼexp(−bⱼ₊₁x) of three.
fn lanczos(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let mut y = 0.0;
    for j in [0, 2, 4] {
        let e = (-b[j + 1] * x[0]).exp();
        slopes[j] = e;
        slopes[j + 1] = -b[j] * x[0] * e;
        y += b[j] * e;
    }
    y
}

/// b₁exp(−b₂x) and two bells bⱼexp(−(x − bⱼ₊₁)²/bⱼ₊₂²).
fn gauss(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (-b[1] * x[0]).exp();
    slopes[0] = e;
    slopes[1] = -b[0] * x[0] * e;
    let mut y = b[0] * e;
    for j in [2, 5] {
        let from = (x[0] - b[j + 1]) / b[j + 2];
        let e = (-from * from).exp();
        slopes[j] = e;
        slopes[j + 1] = 2.0 * b[j] * e * from / b[j + 2];
        slopes[j + 2] = 2.0 * b[j] * e * from * from / b[j + 2];
        y += b[j] * e;
    }
    y
}

/// (b₁ + b₂x + b₃x²)/(1 + b₄x + b₅x²).
fn kirby2(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let x = x[0];
    let bottom = 1.0 + b[3] * x + b[4] * x * x;
    let y = (b[0] + b[1] * x + b[2] * x * x) / bottom;
    let top = [1.0, x, x * x].map(|s| s / bottom);
    slopes.copy_from_slice(&[top[0], top[1], top[2], -y * top[1], -y * top[2]]);
    y
}

/// (b₁ + b₂x + b₃x² + b₄x³)/(1 + b₅x + b₆x² + b₇x³), of Hahn1 and Thurber.
fn cubics(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let x = x[0];
    let powers = [1.0, x, x * x, x * x * x];
    let bottom = 1.0 + b[4] * x + b[5] * powers[2] + b[6] * powers[3];
    let y = (0..4).map(|j| b[j] * powers[j]).sum::<f64>() / bottom;
    for j in 0..4 {
        slopes[j] = powers[j] / bottom;
    }
    for j in 1..4 {
        slopes[j + 3] = -y * powers[j] / bottom;
    }
    y
}

/// ln y = b₁ − b₂x₁exp(−b₃x₂).
fn nelson(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let part = x[0] * (-b[2] * x[1]).exp();
    slopes.copy_from_slice(&[1.0, -part, b[1] * x[1] * part]);
    b[0] - b[1] * part
}

/// b₁(x² + b₂x)/(x² + b₃x + b₄).
fn mgh09(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let x = x[0];
    let (top, bottom) = (x * x + x * b[1], x * x + x * b[2] + b[3]);
    let y = b[0] * top / bottom;
    slopes.copy_from_slice(&[
        top / bottom,
        b[0] * x / bottom,
        -y * x / bottom,
        -y / bottom,
    ]);
    y
}

/// b₁exp(b₂/(x + b₃)).
fn mgh10(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let bottom = x[0] + b[2];
    let e = (b[1] / bottom).exp();
    let y = b[0] * e;
    slopes.copy_from_slice(&[e, y / bottom, -y * b[1] / (bottom * bottom)]);
    y
}

/// b₁ + b₂exp(−b₄x) + b₃exp(−b₅x).
fn mgh17(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let x = x[0];
    let (one, other) = ((-x * b[3]).exp(), (-x * b[4]).exp());
    slopes.copy_from_slice(&[1.0, one, other, -b[1] * x * one, -b[2] * x * other]);
    b[0] + b[1] * one + b[2] * other
}

/// b₁ and three waves, of a year and of b₄ and b₇ months.
fn enso(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let x = 2.0 * PI * x[0];
    slopes[0] = 1.0;
    slopes[1] = (x / 12.0).cos();
    slopes[2] = (x / 12.0).sin();
    let mut y = b[0] + b[1] * slopes[1] + b[2] * slopes[2];
    for j in [3, 6] {
        let (sin, cos) = (x / b[j]).sin_cos();
        slopes[j] = (b[j + 1] * sin - b[j + 2] * cos) * x / (b[j] * b[j]);
        slopes[j + 1] = cos;
        slopes[j + 2] = sin;
        y += b[j + 1] * cos + b[j + 2] * sin;
    }
    y
}

/// b₁ − b₂x − arctan(b₃/(x − b₄))/π.
fn roszman1(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let from = x[0] - b[3];
    let by = PI * (from * from + b[2] * b[2]);
    slopes.copy_from_slice(&[1.0, -x[0], -from / by, -b[2] / by]);
    b[0] - b[1] * x[0] - (b[2] / from).atan() / PI
}

/// b₁/(1 + exp(b₂ − b₃x)).
fn rat42(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (b[1] - b[2] * x[0]).exp();
    let y = b[0] / (1.0 + e);
    let turn = y * e / (1.0 + e);
    slopes.copy_from_slice(&[1.0 / (1.0 + e), -turn, x[0] * turn]);
    y
}

/// b₁/(1 + exp(b₂ − b₃x))^(1/b₄).
fn rat43(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (b[1] - b[2] * x[0]).exp();
    let share = (1.0 + e).powf(-1.0 / b[3]);
    let y = b[0] * share;
    let turn = y * e / (1.0 + e) / b[3];
    let bend = y * e.ln_1p() / (b[3] * b[3]);
    slopes.copy_from_slice(&[share, -turn, x[0] * turn, bend]);
    y
}

/// (b₁/b₂)exp(−½((x − b₃)/b₂)²).
fn eckerle4(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let from = (x[0] - b[2]) / b[1];
    let e = (-0.5 * from * from).exp() / b[1];
    let y = b[0] * e;
    slopes.copy_from_slice(&[e, y * (from * from - 1.0) / b[1], y * from / b[1]]);
    y
}

/// b₁(b₂ + x)^(−1/b₃).
fn bennett5(x: &[f64], b: &[f64], slopes: &mut [f64]) -> f64 {
    let base = b[1] + x[0];
    let power = base.powf(-1.0 / b[2]);
    let y = b[0] * power;
    slopes.copy_from_slice(&[power, -y / (b[2] * base), y * base.ln() / (b[2] * b[2])]);
    y
}

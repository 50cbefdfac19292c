//! The homography of four points, and the angle that a structure tensor reads off waves.

use std::f64::consts::TAU;

use paneprint::frame::Plane;
use paneprint::frame::quad::Homography;
use paneprint::ops::smooth::gradient;
use paneprint::stats::axial::Tensor;
use paneprint::units::{axial, axial_difference};

use super::{json, near, number, rows};

/// Hartley & Zisserman, algorithm 4.2; the exact rational solution (sympy), OpenCV agreeing.
#[test]
fn homographies_are_the_exact_ones() {
    for case in json("homography_4pt.json")["cases"].as_array().unwrap() {
        let name = case["name"].as_str().unwrap();
        let corners = |key: &str| <[[f64; 2]; 4]>::try_from(rows::<2>(&case[key])).unwrap();
        let h = Homography::between(&corners("src"), &corners("dst")).unwrap();
        for (found, published) in h.0.iter().zip(rows::<3>(&case["H"])) {
            for (found, published) in found.iter().zip(published) {
                near(name, *found, published, 1e-9 * published.abs().max(1.0));
            }
        }
        for [x, y, u, v] in rows::<4>(&case["mapped_points_x_y_u_v"]) {
            let found = h.apply([x, y]);
            near(name, found[0], u, 1e-9 * u.abs().max(1.0));
            near(name, found[1], v, 1e-9 * v.abs().max(1.0));
        }
    }
}

/// A square's centre goes to where the trapezoid's diagonals cross, (2, 4/3); a bilinear map would give (2, 1).
#[test]
fn the_centre_of_a_trapezoid_is_where_its_diagonals_cross() {
    let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
    let trapezoid = [[0.0, 0.0], [4.0, 0.0], [3.0, 2.0], [1.0, 2.0]];
    let centre = Homography::between(&square, &trapezoid)
        .unwrap()
        .apply([0.5, 0.5]);
    near("x", centre[0], 2.0, 1e-12);
    near("y", centre[1], 4.0 / 3.0, 1e-12);
}

/// Gradients of a plane wave over one period, its wave vector at an angle.
fn wave(amplitude: f64, degrees: f64, tensor: &mut Tensor) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let phases = 16;
    for i in 0..phases {
        let slope = amplitude * (TAU * f64::from(i) / f64::from(phases)).sin();
        tensor.add(slope * cos, slope * sin, 1.0);
    }
}

/// Bigün & Granlund (1987), Jähne: J of a plane wave is (cos², cos·sin, sin²), its coherence 1.
#[test]
fn a_plane_wave_has_its_tensor() {
    for case in json("structure_tensor.json")["plane_wave"]
        .as_array()
        .unwrap()
    {
        let degrees = number(&case["wave_vector_deg"]);
        let mut tensor = Tensor::default();
        wave(1.0, degrees, &mut tensor);
        let [j11, j12, j22] = super::numbers(&case["J_over_half_A2k2"]);
        near(degrees, tensor.cos / tensor.trace, j11 - j22, 1e-9);
        near(degrees, tensor.sin / tensor.trace, 2.0 * j12, 1e-9);
        near(
            degrees,
            tensor.coherence(),
            number(&case["coherence"]),
            1e-9,
        );
        let off = axial_difference(number(&case["streak_axis_deg"]), tensor.line_axis());
        near(degrees, off, 0.0, 1e-9);
    }
}

/// Two waves at right angles: (A₁² − A₂²)/(A₁² + A₂²).
#[test]
fn crossed_waves_have_their_coherence() {
    for case in json("structure_tensor.json")["two_orthogonal_waves"]
        .as_array()
        .unwrap()
    {
        let mut tensor = Tensor::default();
        wave(number(&case["A_x"]), 0.0, &mut tensor);
        wave(number(&case["A_y"]), 90.0, &mut tensor);
        near(case, tensor.coherence(), number(&case["coherence"]), 1e-9);
    }
}

/// Whole periods of a wave over a square of this many pixels.
const SIDE: usize = 240;

fn phase(x: f64, y: f64) -> f64 {
    TAU * (26.0 * x + 15.0 * y) / SIDE as f64
}

/// The published bias: differences of neighbours read 31.3034° of a wave at 29.9816°.
#[test]
fn neighbour_differences_turn_a_wave_as_published() {
    let case = &json("structure_tensor.json")["numeric_240px"];
    let mut tensor = Tensor::default();
    for (r, c) in (0..SIDE).flat_map(|r| (0..SIDE).map(move |c| (r as f64, c as f64))) {
        let at = |x: f64, y: f64| phase(x, y).cos();
        let along = (at(c + 1.0, r) - at(c - 1.0, r)) / 2.0;
        let down = (at(c, r + 1.0) - at(c, r - 1.0)) / 2.0;
        tensor.add(along, down, 1.0);
    }
    let [j11, j22, j12] = ["J11", "J22", "J12"].map(|j| number(&case[j]));
    near("J11 − J22", tensor.cos / tensor.weight, j11 - j22, 1e-9);
    near("2 J12", tensor.sin / tensor.weight, 2.0 * j12, 1e-9);
    let angle = axial(tensor.line_axis() - 90.0);
    near(
        "angle",
        angle,
        number(&case["central_difference_angle_deg"]),
        1e-6,
    );
}

/// The program's own gradient reads the true angle, 29.9816°, where neighbour differences are off by 1.32°.
#[test]
fn the_programs_gradient_turns_no_wave() {
    // Streaks are read off cells of 0.5 mm by derivatives of 0.75 mm.
    const SIGMA_PX: f64 = 1.5;
    let case = &json("structure_tensor.json")["numeric_240px"];
    let plane = Plane::from_shape_fn((SIDE, SIDE), |(r, c)| {
        phase(c as f64, r as f64).cos() as f32
    });
    let (down, along) = gradient(&plane, SIGMA_PX);
    let mut tensor = Tensor::default();
    // Off the edges, where the plane is made longer.
    let rim = 10;
    for (r, c) in (rim..SIDE - rim).flat_map(|r| (rim..SIDE - rim).map(move |c| (r, c))) {
        tensor.add(f64::from(along[[r, c]]), f64::from(down[[r, c]]), 1.0);
    }
    let angle = axial(tensor.line_axis() - 90.0);
    // Kernels of any length would be exact to 1e-6; these end at four and a half deviations.
    near("angle", angle, number(&case["true_angle_deg"]), 5e-4);
    near("coherence", tensor.coherence(), 1.0, 1e-5);
}

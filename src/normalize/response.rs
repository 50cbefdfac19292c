//! What a camera's tones are: the way from the light its codes claim to the light there was.

use serde::{Deserialize, Serialize};

use crate::frame::photo::Linearisation;
use crate::stats::monotone::Monotone;

/// A taught response: rising pairs of the light that the file's own curve tells and true light, both shares of full scale.
/// Between them it is a monotone curve in the logarithms, beyond them a power law. Without pairs the file is believed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Response {
    pairs: Vec<[f64; 2]>,
}

impl Response {
    pub(super) fn through(pairs: Vec<[f64; 2]>) -> Self {
        Response { pairs }
    }

    /// Somebody taught it.
    #[must_use]
    pub fn is_taught(&self) -> bool {
        !self.pairs.is_empty()
    }

    /// Turns the light that a file's curve tells into true light.
    pub fn apply(&self, linear: &mut Linearisation) {
        let Some(curve) = self.curve() else { return };
        for light in linear.tables.iter_mut().flatten() {
            if *light > 0.0 {
                *light = curve.at(f64::from(*light).ln()).exp() as f32;
            }
        }
    }

    /// The light a file tells where there is this much.
    pub(super) fn told(&self, light: f64) -> f64 {
        let curve = self.curve();
        let (mut low, mut high) = (1e-5_f64.ln(), 2.0_f64.ln());
        let Some(curve) = curve else { return light };
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if curve.at(middle) < light.max(1e-6).ln() {
                low = middle;
            } else {
                high = middle;
            }
        }
        low.exp()
    }

    /// Over the logarithm of the light a file tells, that of true light.
    pub(super) fn curve(&self) -> Option<Monotone> {
        let logarithms: Vec<_> = self.pairs.iter().map(|p| p.map(f64::ln)).collect();
        Monotone::through(&logarithms)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::photo::ColourSource;

    #[test]
    fn untaught_it_believes_the_file_and_taught_it_undoes_the_camera() {
        let linear = || Linearisation {
            tables: std::array::from_fn(|_| vec![-0.1, 0.0, 0.04, 0.25, 1.0]),
            to_rec709: None,
            source: ColourSource::Profile,
        };
        let mut same = linear();
        Response::default().apply(&mut same);
        assert_eq!(same.tables, linear().tables);
        let square = Response::through([0.01, 0.1, 0.5, 1.0].map(|v: f64| [v, v * v]).to_vec());
        let mut taught = linear();
        square.apply(&mut taught);
        for (got, told) in taught.tables[1].iter().zip([-0.1, 0.0, 0.04, 0.25, 1.0]) {
            let want = if told > 0.0 { told * told } else { told };
            assert!((f64::from(*got) - want).abs() < 1e-6);
        }
        assert!((square.told(0.25) - 0.5).abs() < 1e-9);
    }
}

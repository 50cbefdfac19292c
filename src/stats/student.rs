//! Points of Student's t.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Degrees of freedom beyond which a point moves no more than in its fifth digit, and is not to be found well much beyond.
pub(super) const MOST_FREE: f64 = 1e5;

/// The t, with so many degrees of freedom, that lies above the share `below` of all, 0 to 1. `None` without any freedom.
#[must_use]
pub fn point(free: f64, below: f64) -> Option<f64> {
    let student = StudentsT::new(0.0, 1.0, free.min(MOST_FREE)).ok()?;
    Some(student.inverse_cdf(below))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_those_of_the_table() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2.
        for (free, below, wanted) in [
            (1.0, 0.975, 12.706),
            (4.0, 0.975, 2.776),
            (10.0, 0.95, 1.812),
        ] {
            assert!((point(free, below).unwrap() - wanted).abs() < 5e-4);
        }
        let far = point(1e12, 0.975).unwrap();
        // To the fifth digit.
        assert!((far - 1.959_964).abs() < 5e-5, "{far}");
        assert_eq!(point(0.0, 0.975), None);
    }
}

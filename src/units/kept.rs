//! How a measure stands in a file: `{"value", "low", "high"}`, or `{"value": null, "why"}`.
//!
//! Older files hold `{"Ok": {…}}` and `{"Err": why}`; these are read too.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{Estimate, Measure, Unmeasured};

#[derive(Serialize)]
struct NoValue {
    value: Option<f64>,
    why: Unmeasured,
}

/// The forms that are read. What has no figure is told by its reason: a figure that is missing without one is refused.
#[derive(Deserialize)]
#[serde(untagged)]
enum Form {
    Value(Estimate),
    None {
        why: Unmeasured,
    },
    OlderValue {
        #[serde(rename = "Ok")]
        value: Estimate,
    },
    OlderNone {
        #[serde(rename = "Err")]
        why: Unmeasured,
    },
}

/// Writes a measure.
///
/// # Errors
/// Those of the writer.
pub fn serialize<S: Serializer>(measure: &Measure, writer: S) -> Result<S::Ok, S::Error> {
    match *measure {
        Ok(estimate) => estimate.serialize(writer),
        Err(why) => NoValue { value: None, why }.serialize(writer),
    }
}

/// Reads a measure of either form.
///
/// # Errors
/// It is of neither.
pub fn deserialize<'de, D: Deserializer<'de>>(reader: D) -> Result<Measure, D::Error> {
    Ok(match Form::deserialize(reader)? {
        Form::Value(value) | Form::OlderValue { value } => Ok(value),
        Form::None { why } | Form::OlderNone { why } => Err(why),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    struct Held {
        #[serde(with = "super")]
        measure: Measure,
    }

    fn held(measure: Measure) -> Held {
        Held { measure }
    }

    #[test]
    fn both_forms_are_read_and_the_plain_one_is_written() {
        let known = Ok(Estimate {
            value: 0.1,
            low: 0.0,
            high: 0.25,
        });
        let none = Err(Unmeasured::PanelTooSmall);
        for (measure, text, older) in [
            (
                known,
                r#"{"measure":{"value":0.1,"low":0.0,"high":0.25}}"#,
                r#"{"measure":{"Ok":{"value":0.1,"low":0.0,"high":0.25}}}"#,
            ),
            (
                none,
                r#"{"measure":{"value":null,"why":"panel_too_small"}}"#,
                r#"{"measure":{"Err":"panel_too_small"}}"#,
            ),
        ] {
            assert_eq!(serde_json::to_string(&held(measure)).unwrap(), text);
            for text in [text, older] {
                assert_eq!(serde_json::from_str::<Held>(text).unwrap(), held(measure));
            }
        }
    }

    #[test]
    fn what_says_nothing_is_refused() {
        for text in [
            r#"{"measure":{"value":null}}"#,
            r#"{"measure":{"value":0.1}}"#,
            r#"{"measure":{"value":null,"why":"tired"}}"#,
            r#"{"measure":null}"#,
        ] {
            assert!(serde_json::from_str::<Held>(text).is_err(), "{text}");
        }
    }
}

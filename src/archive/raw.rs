//! A JSON text that stands in a JSON file as it is, byte by byte: its digest is that of the text.

use serde::ser::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::value::RawValue;

pub(super) fn serialize<S: Serializer>(text: &str, to: S) -> Result<S::Ok, S::Error> {
    let raw: &RawValue = serde_json::from_str(text).map_err(S::Error::custom)?;
    raw.serialize(to)
}

pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<String, D::Error> {
    let raw = Box::<RawValue>::deserialize(from)?;
    Ok(raw.get().to_owned())
}

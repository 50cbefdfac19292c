//! The form in a file: the rows one after the other, as text.

use base64::Engine;
use base64::engine::general_purpose::STANDARD_NO_PAD as TEXT;
use serde::{Deserialize, Serialize};

use super::{COUNT, Texture};

#[derive(Serialize, Deserialize)]
pub(super) struct Written {
    finest: usize,
    colour: bool,
    places: String,
}

impl From<Texture> for Written {
    fn from(texture: Texture) -> Self {
        let bytes: Vec<u8> = texture
            .places
            .iter()
            .flatten()
            .map(|v| v.cast_unsigned())
            .collect();
        Written {
            finest: texture.finest,
            colour: texture.colour,
            places: TEXT.encode(bytes),
        }
    }
}

impl TryFrom<Written> for Texture {
    type Error = String;

    fn try_from(written: Written) -> Result<Self, String> {
        let bytes = TEXT.decode(written.places).map_err(|e| e.to_string())?;
        let (places, rest) = bytes.as_chunks::<COUNT>();
        if !rest.is_empty() {
            return Err(format!("{} bytes are no rows of {COUNT}", bytes.len()));
        }
        Ok(Texture {
            finest: written.finest,
            colour: written.colour,
            places: places.iter().map(|row| row.map(u8::cast_signed)).collect(),
        })
    }
}

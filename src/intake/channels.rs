//! Grey, grey with alpha, RGB or RGB with alpha → interleaved RGB, in place.

/// The picture is partly transparent, so its colours are not what was photographed.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Transparent;

/// Makes interleaved RGB of `codes` with `channels` a pixel (1 to 4), `opaque` being the alpha code that hides nothing
/// behind.
pub(super) fn to_rgb<T: Copy + PartialEq + Default>(
    mut codes: Vec<T>,
    channels: u8,
    opaque: T,
) -> Result<Vec<T>, Transparent> {
    match channels {
        1 => {
            let pixels = codes.len();
            codes.resize(3 * pixels, T::default());
            for i in (0..pixels).rev() {
                let code = codes[i];
                codes[3 * i..3 * i + 3].fill(code);
            }
        }
        2 => {
            if codes.chunks_exact(2).any(|p| p[1] != opaque) {
                return Err(Transparent);
            }
            return Ok(codes.chunks_exact(2).flat_map(|p| [p[0]; 3]).collect());
        }
        4 => {
            if codes.chunks_exact(4).any(|p| p[3] != opaque) {
                return Err(Transparent);
            }
            let pixels = codes.len() / 4;
            for i in 0..pixels {
                codes.copy_within(4 * i..4 * i + 3, 3 * i);
            }
            codes.truncate(3 * pixels);
        }
        _ => {}
    }
    Ok(codes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grey_is_tripled_and_opaque_alpha_dropped() {
        assert_eq!(to_rgb(vec![1_u8, 2], 1, 255), Ok(vec![1, 1, 1, 2, 2, 2]));
        assert_eq!(
            to_rgb(vec![7_u8, 255, 8, 255], 2, 255),
            Ok(vec![7, 7, 7, 8, 8, 8])
        );
        assert_eq!(
            to_rgb(vec![1_u16, 2, 3, 65_535, 4, 5, 6, 65_535], 4, 65_535),
            Ok(vec![1, 2, 3, 4, 5, 6])
        );
        assert_eq!(to_rgb(vec![1_u8, 2, 3], 3, 255), Ok(vec![1, 2, 3]));
    }

    #[test]
    fn alpha_in_use_is_refused() {
        assert_eq!(to_rgb(vec![7_u8, 254], 2, 255), Err(Transparent));
        assert_eq!(
            to_rgb(vec![1_u8, 2, 3, 255, 1, 2, 3, 0], 4, 255),
            Err(Transparent)
        );
    }
}

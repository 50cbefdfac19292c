//! Decodes a photo and nothing more: what `scripts/compare-speed` measures the others in.

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let photo = std::env::args_os().nth(1).ok_or("which photo?")?;
    let decoded = image::load_from_memory(&std::fs::read(photo)?)?.into_rgb8();
    std::hint::black_box(decoded);
    Ok(())
}

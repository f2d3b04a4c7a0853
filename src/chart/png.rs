//! A picture as PNG, drawn with the font that charts carry.

#[cfg(feature = "png")]
use super::font;
#[cfg(feature = "png")]
use resvg::{tiny_skia, usvg};
#[cfg(feature = "png")]
use std::sync::{Arc, LazyLock};
use thiserror::Error;

/// Why a picture could not be drawn.
#[derive(Debug, Error)]
#[error("a chart cannot be drawn as PNG: {0}")]
pub struct PngError(String);

/// Read once: the faces are large.
#[cfg(feature = "png")]
static FONTS: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    for (_, bytes) in font::faces() {
        fonts.load_font_data(bytes.to_vec());
    }
    Arc::new(fonts)
});

/// The PNG of an SVG, one pixel each of its own.
///
/// # Errors
/// [`PngError`] when it is no SVG or too large to be drawn.
#[cfg(feature = "png")]
pub fn png(svg: &str) -> Result<Vec<u8>, PngError> {
    let options = usvg::Options {
        font_family: font::NAME.to_owned(),
        fontdb: Arc::clone(&FONTS),
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_str(svg, &options).map_err(|error| PngError(error.to_string()))?;
    let size = tree.size().to_int_size();
    let mut pixels = tiny_skia::Pixmap::new(size.width(), size.height())
        .ok_or_else(|| PngError("it has no size, or is too large".to_owned()))?;
    resvg::render(
        &tree,
        tiny_skia::Transform::identity(),
        &mut pixels.as_mut(),
    );
    pixels
        .encode_png()
        .map_err(|error| PngError(error.to_string()))
}

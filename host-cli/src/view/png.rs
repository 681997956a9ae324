//! Drawings to files.

use std::path::Path;
use std::sync::Arc;

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use crate::error::Error;
use crate::export::WholeFile;

/// Built in, so that a picture is the same on every machine.
const FONTS: [&[u8]; 2] =
    [include_bytes!("font/Inter-Regular.otf"), include_bytes!("font/Inter-SemiBold.otf")];

pub(super) fn write_svg(drawing: &str, path: &Path, overwrite: bool) -> Result<(), Error> {
    write(drawing.as_bytes(), path, overwrite)
}

pub(super) fn write_png(drawing: &str, path: &Path, overwrite: bool) -> Result<(), Error> {
    let pixels = render(drawing).map_err(|reason| {
        Error::output(path.display().to_string(), std::io::Error::other(reason))
    })?;
    write(&pixels, path, overwrite)
}

fn write(bytes: &[u8], path: &Path, overwrite: bool) -> Result<(), Error> {
    let mut file = WholeFile::create(path, overwrite)?;
    file.put(bytes)?;
    file.finish()
}

/// A drawing as the bytes of a PNG.
fn render(drawing: &str) -> Result<Vec<u8>, String> {
    let mut fonts = fontdb::Database::new();
    for font in FONTS {
        fonts.load_font_data(font.to_vec());
    }
    let options =
        Options { fontdb: Arc::new(fonts), font_family: "Inter".to_owned(), ..Options::default() };
    let tree = Tree::from_str(drawing, &options).map_err(|error| error.to_string())?;
    let size = tree.size().to_int_size();
    let mut pixels = Pixmap::new(size.width(), size.height()).ok_or("the picture has no size")?;
    resvg::render(&tree, Transform::identity(), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| error.to_string())
}

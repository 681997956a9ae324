//! A display in memory, compared with a picture.

use std::convert::Infallible;
use std::path::PathBuf;
use std::{env, fs};

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Size};
use embedded_graphics::pixelcolor::{BinaryColor, PixelColor};

/// Its pixels: whether each is lit.
pub(crate) struct Display<C> {
    size: Size,
    pixels: Vec<C>,
}

impl<C: PixelColor + From<BinaryColor>> Display<C> {
    pub(crate) fn new(width: u32, height: u32) -> Self {
        let pixels = vec![BinaryColor::Off.into(); (width * height) as usize];
        Self { size: Size::new(width, height), pixels }
    }

    /// What it shows is the picture of that name.
    pub(crate) fn expect(&self, name: &str) {
        let path = [env!("CARGO_MANIFEST_DIR"), "tests/pictures", &format!("{name}.png")];
        let path: PathBuf = path.iter().collect();
        let shown = self.png();
        if env::var_os("STILLWAVE_BLESS").is_some() {
            fs::write(&path, &shown).unwrap();
        }
        let wanted = fs::read(&path).unwrap_or_default();
        if wanted != shown {
            let found = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.png"));
            fs::write(&found, &shown).unwrap();
            panic!("{} is wanted, {} is shown", path.display(), found.display());
        }
    }

    /// Puts out all from a row on.
    pub(crate) fn cover(&mut self, row: u32) {
        self.pixels[(row * self.size.width) as usize..].fill(BinaryColor::Off.into());
    }

    /// How many pixels are lit.
    pub(crate) fn lit(&self) -> usize {
        let lit: C = BinaryColor::On.into();
        self.pixels.iter().filter(|&&pixel| pixel == lit).count()
    }

    /// How many pixels differ.
    pub(crate) fn differs(&self, other: &Self) -> usize {
        self.pixels.iter().zip(&other.pixels).filter(|(a, b)| a != b).count()
    }

    /// Enlarged, for eyes.
    fn png(&self) -> Vec<u8> {
        let scale = if self.size.width < 200 { 4 } else { 2 };
        let Size { width, height } = self.size;
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, width * scale, height * scale);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        let lit: C = BinaryColor::On.into();
        let rows = (0..height * scale).flat_map(|y| (0..width * scale).map(move |x| (x, y)));
        let gray: Vec<u8> = rows
            .map(|(x, y)| self.pixels[(y / scale * width + x / scale) as usize])
            .map(|pixel| if pixel == lit { 255 } else { 0 })
            .collect();
        encoder.write_header().unwrap().write_image_data(&gray).unwrap();
        bytes
    }
}

impl<C> OriginDimensions for Display<C> {
    fn size(&self) -> Size {
        self.size
    }
}

impl<C: PixelColor> DrawTarget for Display<C> {
    type Color = C;
    type Error = Infallible;

    fn draw_iter<I>(&mut self, pixels: I) -> Result<(), Infallible>
    where
        I: IntoIterator<Item = Pixel<C>>,
    {
        for Pixel(at, color) in pixels {
            let (Ok(x), Ok(y)) = (u32::try_from(at.x), u32::try_from(at.y)) else { continue };
            if x < self.size.width && y < self.size.height {
                self.pixels[(y * self.size.width + x) as usize] = color;
            }
        }
        Ok(())
    }
}

//! Fields of brightness and canvases of colour, in display values from 0 to 1.

/// Brightness, row by row from the top left.
#[derive(Debug, Clone)]
pub struct Field {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// The values.
    pub values: Vec<f32>,
}

impl Field {
    /// Returns a field whose values are those of a function of column and row.
    pub fn from(width: usize, height: usize, value: &(dyn Fn(f32, f32) -> f32 + Sync)) -> Self {
        let mut values = vec![0.0; width * height];
        by_rows(&mut values, width, &|column, row| {
            value(column as f32, row as f32)
        });
        Self {
            width,
            height,
            values,
        }
    }

    /// Returns the value at a place, between pixels too; beyond the edge the edge's own.
    pub fn at(&self, x: f32, y: f32) -> f32 {
        let (left, top) = (x.floor(), y.floor());
        let (u, v) = (x - left, y - top);
        let pick = |dx: i32, dy: i32| {
            let column = (left as i32 + dx).clamp(0, self.width as i32 - 1) as usize;
            let row = (top as i32 + dy).clamp(0, self.height as i32 - 1) as usize;
            self.values[row * self.width + column]
        };
        let above = pick(0, 0) + (pick(1, 0) - pick(0, 0)) * u;
        let below = pick(0, 1) + (pick(1, 1) - pick(0, 1)) * u;
        above + (below - above) * v
    }

    /// Returns the field blurred by about `radius` pixels (three box blurs, which come near to a bell curve).
    pub fn blurred(&self, radius: usize) -> Self {
        let mut field = self.clone();
        for _ in 0..3 {
            field = field.smeared(radius).turned().smeared(radius).turned();
        }
        field
    }

    fn smeared(&self, radius: usize) -> Self {
        let mut values = vec![0.0; self.values.len()];
        let last = self.width as i64 - 1;
        for (from, into) in self
            .values
            .chunks_exact(self.width)
            .zip(values.chunks_exact_mut(self.width))
        {
            let reach = radius as i64;
            let pick = |column: i64| f64::from(from[column.clamp(0, last) as usize]);
            let mut sum: f64 = (-reach..=reach).map(pick).sum();
            let count = (2 * reach + 1) as f64;
            for (column, value) in into.iter_mut().enumerate() {
                *value = (sum / count) as f32;
                let column = column as i64;
                sum += pick(column + reach + 1) - pick(column - reach);
            }
        }
        Self {
            width: self.width,
            height: self.height,
            values,
        }
    }

    fn turned(&self) -> Self {
        let mut values = Vec::with_capacity(self.values.len());
        for column in 0..self.width {
            for row in 0..self.height {
                values.push(self.values[row * self.width + column]);
            }
        }
        Self {
            width: self.height,
            height: self.width,
            values,
        }
    }
}

/// Colour: red, green, blue in display values, row by row from the top left.
#[derive(Debug, Clone)]
pub struct Canvas {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// The pixels.
    pub pixels: Vec<[f32; 3]>,
}

impl Canvas {
    /// Returns a canvas whose pixels are those of a function of column and row.
    pub fn from(
        width: usize,
        height: usize,
        pixel: &(dyn Fn(f32, f32) -> [f32; 3] + Sync),
    ) -> Self {
        let mut pixels = vec![[0.0; 3]; width * height];
        by_rows(&mut pixels, width, &|column, row| {
            pixel(column as f32, row as f32)
        });
        Self {
            width,
            height,
            pixels,
        }
    }

    /// Returns the colour at a place, between pixels too; beyond the edge the edge's own.
    pub fn at(&self, x: f32, y: f32) -> [f32; 3] {
        let (left, top) = (x.floor(), y.floor());
        let (u, v) = (x - left, y - top);
        let pick = |dx: i32, dy: i32| {
            let column = (left as i32 + dx).clamp(0, self.width as i32 - 1) as usize;
            let row = (top as i32 + dy).clamp(0, self.height as i32 - 1) as usize;
            self.pixels[row * self.width + column]
        };
        let above = blend(pick(0, 0), pick(1, 0), u);
        let below = blend(pick(0, 1), pick(1, 1), u);
        blend(above, below, v)
    }

    /// Changes every pixel by a function of column, row and its colour.
    pub fn touch(&mut self, change: &(dyn Fn(f32, f32, [f32; 3]) -> [f32; 3] + Sync)) {
        let width = self.width;
        let before = std::mem::take(&mut self.pixels);
        let mut after = vec![[0.0; 3]; before.len()];
        by_rows(&mut after, width, &|column, row| {
            change(column as f32, row as f32, before[row * width + column])
        });
        self.pixels = after;
    }

    /// Returns the canvas at another size: smooth between pixels when larger, averaged when smaller.
    pub fn resized(&self, width: usize, height: usize) -> Self {
        let (sx, sy) = (
            self.width as f32 / width as f32,
            self.height as f32 / height as f32,
        );
        let taps = sx.max(sy).max(1.0).floor() as usize;
        Self::from(width, height, &|x, y| {
            let mut sum = [0.0; 3];
            for i in 0..taps {
                for j in 0..taps {
                    let (dx, dy) = (
                        (i as f32 + 0.5) / taps as f32,
                        (j as f32 + 0.5) / taps as f32,
                    );
                    let sample = self.at((x + dx) * sx - 0.5, (y + dy) * sy - 0.5);
                    for (total, value) in sum.iter_mut().zip(sample) {
                        *total += value;
                    }
                }
            }
            sum.map(|total| total / (taps * taps) as f32)
        })
    }

    /// Returns the canvas turned by 90 degrees against the clock.
    pub fn turned_left(&self) -> Self {
        let mut pixels = Vec::with_capacity(self.pixels.len());
        for column in (0..self.width).rev() {
            for row in 0..self.height {
                pixels.push(self.pixels[row * self.width + column]);
            }
        }
        Self {
            width: self.height,
            height: self.width,
            pixels,
        }
    }

    /// Returns the canvas turned upside down.
    pub fn upside_down(&self) -> Self {
        Self {
            width: self.width,
            height: self.height,
            pixels: self.pixels.iter().rev().copied().collect(),
        }
    }

    /// Lays one colour over a pixel, as far as `share`.
    pub fn lay(&mut self, column: usize, row: usize, colour: [f32; 3], share: f32) {
        if column < self.width && row < self.height {
            let pixel = &mut self.pixels[row * self.width + column];
            *pixel = blend(*pixel, colour, share.clamp(0.0, 1.0));
        }
    }
}

/// Returns the colour `share` of the way from `one` to `other`.
pub fn blend(one: [f32; 3], other: [f32; 3], share: f32) -> [f32; 3] {
    [
        one[0] + (other[0] - one[0]) * share,
        one[1] + (other[1] - one[1]) * share,
        one[2] + (other[2] - one[2]) * share,
    ]
}

/// Returns a colour made brighter (above 1) or darker (below 1).
pub fn lit(colour: [f32; 3], factor: f32) -> [f32; 3] {
    colour.map(|value| value * factor)
}

fn by_rows<T: Send>(values: &mut [T], width: usize, value: &(dyn Fn(usize, usize) -> T + Sync)) {
    let height = values.len() / width.max(1);
    let rows = height.div_ceil(4).max(1);
    std::thread::scope(|scope| {
        for (band, part) in values.chunks_mut(rows * width).enumerate() {
            scope.spawn(move || {
                for (index, into) in part.iter_mut().enumerate() {
                    *into = value(index % width, band * rows + index / width);
                }
            });
        }
    });
}

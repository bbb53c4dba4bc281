//! Viewing copies: decoded, upright, colour-managed to sRGB, scaled, and written as JPEG.

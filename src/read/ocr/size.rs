//! How large a picture may be.

use super::super::page::Fault;

/// Pixels of one picture; a page at 600 dpi has 35 million.
pub(super) const PIXELS: u64 = 100_000_000;

pub(super) fn check((w, h): (u32, u32)) -> Result<(), Fault> {
    if u64::from(w) * u64::from(h) > PIXELS {
        return Err(Fault::TooLarge);
    }
    Ok(())
}

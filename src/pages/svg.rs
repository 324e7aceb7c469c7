//! What all pictures have alike.

/// The first line of a picture that is a file of its own.
pub(super) const XML: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

/// A coordinate to be written: a tenth of a unit is finer than any printer.
pub(super) fn at(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

//! Pages of a small hunt.

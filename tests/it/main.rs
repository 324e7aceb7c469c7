//! The integration tests, one file a subject.

mod coverage;

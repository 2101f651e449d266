//! Begun.

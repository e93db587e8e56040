//! Moisture.

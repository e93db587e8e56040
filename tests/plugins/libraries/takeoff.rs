//! The plugin takeoff as a library of its own.

mateline_sdk::export_plugin!(mateline_takeoff::Takeoff);

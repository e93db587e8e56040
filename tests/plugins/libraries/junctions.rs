//! The plugin junctions as a library of its own.

mateline_sdk::export_plugin!(mateline_junctions::Junctions);

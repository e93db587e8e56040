//! The plugin envelope as a library of its own.

mateline_sdk::export_plugin!(mateline_envelope::Envelope);

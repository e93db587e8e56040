//! The engine as this program ships it: built-in plugins, packs and materials.

use mateline_engine::Engine;
use mateline_sdk::Plugin;

/// The engine with everything that comes with mateline.
///
/// # Errors
/// When the built-in plugins do not fit together, which a test excludes.
pub fn engine() -> Result<Engine, String> {
    let plugins: Vec<Box<dyn Plugin>> =
        vec![Box::new(mateline_takeoff::Takeoff), Box::new(mateline_envelope::Envelope)];
    Engine::new(plugins, mateline_rules::PACKS, mateline_envelope::library().clone())
}

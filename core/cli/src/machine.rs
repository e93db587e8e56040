//! The engine as this program ships it: built-in plugins, packs and materials.

use mateline_engine::Engine;

/// The engine with everything that comes with mateline.
///
/// # Errors
/// When the built-in plugins do not fit together, which a test excludes.
pub fn engine() -> Result<Engine, String> {
    Engine::new(mateline_plugins::built_in(), mateline_rules::PACKS, mateline_plugins::materials().clone())
}

//! Values written into the files of a home, each where it stands.

use crate::exit::Exit;
use crate::output;
use mateline_engine::load::{Edit, Loaded, written};

/// Writes values into the files that they stand in, if nobody has changed those since they were read. Where one cannot be
/// written, none is.
///
/// # Errors
/// How the run ends then; why has been told.
pub fn write(loaded: &Loaded, edits: &[Edit]) -> Result<(), Exit> {
    let refused = |why: String| Err(output::refuse(&why));
    let files = match written(&loaded.tree, loaded.project.files(), edits) {
        Ok(files) => files,
        Err(why) => return refused(why),
    };
    let mut paths = Vec::new();
    for (file, text) in files {
        let Some(source) = loaded.project.files().get(file) else { return refused("the file is not known".to_owned()) };
        let path = match loaded.project.locate(&source.name) {
            Ok(path) => path,
            Err(why) => return refused(format!("{} is not of this project: {why}", source.name)),
        };
        match std::fs::read_to_string(&path) {
            Ok(now) if now == source.text => paths.push((path, text)),
            Ok(_) => return refused(format!("'{}' has changed meanwhile; run it again", source.name)),
            Err(error) => return refused(format!("cannot read '{}': {error}", source.name)),
        }
    }
    paths.iter().try_for_each(|(path, text)| match output::write_file(path, text) {
        Exit::Done => Ok(()),
        exit => Err(exit),
    })
}

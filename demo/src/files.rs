//! Where generated files go: a folder, or memory.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::Error;

/// Takes finished files.
pub(crate) trait Shelf {
    /// Puts one file, named by its path below the output folder.
    fn file(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), Error>;
}

/// A folder on disk.
pub(crate) struct Folder {
    root: PathBuf,
    made: String,
}

impl Folder {
    /// A folder in which no earlier output stands, so that no two basins are mixed.
    pub(crate) fn fresh(root: &Path) -> Result<Self, Error> {
        let nights = root.join("nights");
        if nights.exists() {
            return Err(Error::Occupied(nights));
        }
        Ok(Self { root: root.to_owned(), made: String::new() })
    }
}

impl Shelf for Folder {
    fn file(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), Error> {
        let whole = self.root.join(path);
        let told = |source| Error::Io { path: whole.clone(), source };
        let parent = path.rsplit_once('/').map_or("", |(parent, _)| parent);
        if self.made.is_empty() || parent != self.made {
            fs::create_dir_all(self.root.join(parent)).map_err(told)?;
            self.made = parent.to_owned();
        }
        fs::write(&whole, bytes).map_err(told)
    }
}

/// Files kept in memory, by path.
#[derive(Default)]
pub(crate) struct Memory(pub BTreeMap<String, Vec<u8>>);

impl Shelf for Memory {
    fn file(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), Error> {
        self.0.insert(path.to_owned(), bytes);
        Ok(())
    }
}

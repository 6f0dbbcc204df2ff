//! Turns the pattern files into one JSON text, which loads several times faster than TOML.
//!
//! Nothing is judged here: a file that is no TOML is passed on as it is, and the program refuses it
//! with file, line and column.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

fn main() {
    let root = PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").expect("cargo sets it"));
    let out = PathBuf::from(std::env::var_os("OUT_DIR").expect("cargo sets it"));
    let folder = root.join("patterns");
    println!("cargo::rerun-if-changed={}", folder.display());
    println!("cargo::rerun-if-changed=src/build.rs");
    let mut texts = BTreeMap::new();
    walk(&folder, &folder, &mut texts);
    let mut hasher = Sha256::new();
    for (id, text) in &texts {
        hasher.update(id.as_bytes());
        hasher.update([0]);
        hasher.update(text.as_bytes());
        hasher.update([0]);
    }
    let digest: String = hasher.finalize()[..8]
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    let files: serde_json::Map<String, serde_json::Value> = texts
        .into_iter()
        .map(|(id, text)| {
            let value = toml::from_str::<toml::Table>(&text)
                .ok()
                .and_then(|table| serde_json::to_value(table).ok())
                .unwrap_or(serde_json::Value::String(text));
            (id, value)
        })
        .collect();
    let json = serde_json::json!({ "digest": digest, "files": files }).to_string();
    std::fs::write(out.join("patterns.json"), json).expect("the output folder can be written");
}

fn walk(root: &Path, folder: &Path, texts: &mut BTreeMap<String, String>) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for path in entries.flatten().map(|e| e.path()) {
        if path.is_dir() {
            walk(root, &path, texts);
        } else if path.extension().is_some_and(|e| e == "toml") {
            let id = path
                .with_extension("")
                .strip_prefix(root)
                .unwrap_or(&path)
                .components()
                .map(|c| c.as_os_str().to_string_lossy())
                .collect::<Vec<_>>()
                .join("/");
            texts.insert(id, std::fs::read_to_string(&path).unwrap_or_default());
        }
    }
}

//! Files and folders that only this user may look into or change.

use std::fs::File;
use std::io::{Error, Result};
use std::path::Path;

/// Makes a folder for this user alone, or checks the one that is there: that it is the user's, and
/// that nobody else may change it.
///
/// # Errors
/// Where it cannot be made, or is not to be trusted.
pub(crate) fn folder(path: &Path) -> Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)?;
    // A link is followed: what counts is the folder that it leads to.
    trusted(&std::fs::metadata(path)?)
}

/// Opens a file of this user's to read and write, makes it where there is none, and takes away
/// what others may do with it. A link is not followed.
///
/// # Errors
/// Where it cannot be opened, is a link or no file, or belongs to somebody else.
pub(crate) fn file(path: &Path) -> Result<File> {
    let mut options = File::options();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    checked(options, path)
}

/// Opens a file of this user's to read. A link is not followed.
///
/// # Errors
/// As [`file`].
pub(crate) fn readable(path: &Path) -> Result<File> {
    let mut options = File::options();
    options.read(true);
    checked(options, path)
}

#[cfg(unix)]
fn checked(mut options: std::fs::OpenOptions, path: &Path) -> Result<File> {
    use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
    let flags = rustix::fs::OFlags::NOFOLLOW | rustix::fs::OFlags::NONBLOCK;
    options.custom_flags(flags.bits().cast_signed());
    let file = options.open(path).map_err(|cause| {
        if path.is_symlink() {
            Error::other("is a link; remove it, or name another place")
        } else {
            cause
        }
    })?;
    let data = file.metadata()?;
    if !data.is_file() {
        return Err(Error::other("is no file (a device or a pipe)"));
    }
    trusted(&data)?;
    if data.permissions().mode() & 0o077 != 0 {
        file.set_permissions(std::fs::Permissions::from_mode(0o600))?;
    }
    Ok(file)
}

#[cfg(not(unix))]
fn checked(options: std::fs::OpenOptions, path: &Path) -> Result<File> {
    if path.is_symlink() {
        return Err(Error::other("is a link; remove it, or name another place"));
    }
    options.open(path)
}

/// Whether a file or folder belongs to this user and nobody else may write to it.
#[cfg(unix)]
fn trusted(data: &std::fs::Metadata) -> Result<()> {
    use std::os::unix::fs::MetadataExt;
    if data.uid() != rustix::process::geteuid().as_raw() {
        return Err(Error::other(
            "belongs to somebody else; name a place of your own",
        ));
    }
    if data.mode() & 0o022 != 0 {
        return Err(Error::other(
            "can be changed by others, so what it holds cannot be believed; take that from them \
             (chmod go-w), or name another place",
        ));
    }
    Ok(())
}

#[cfg(not(unix))]
fn trusted(_: &std::fs::Metadata) -> Result<()> {
    Ok(())
}

#[cfg(all(test, unix))]
mod tests {
    use std::os::unix::fs::{PermissionsExt, symlink};

    use super::*;

    fn mode(path: &Path) -> u32 {
        let data = std::fs::metadata(path).expect("it is there");
        data.permissions().mode() & 0o777
    }

    fn set(path: &Path, mode: u32) {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).expect("mine");
    }

    #[test]
    fn folders_of_others_are_not_believed() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("a/b");
        folder(&path).expect("made");
        assert_eq!(mode(&path), 0o700);
        set(&path, 0o755);
        folder(&path).expect("others may look at the names");
        for loose in [0o777, 0o775, 0o1777, 0o702] {
            set(&path, loose);
            let error = folder(&path).expect_err("others can write");
            assert!(error.to_string().contains("can be changed by others"));
        }
    }

    #[test]
    fn links_are_not_followed_and_modes_are_closed() {
        let place = tempfile::tempdir().expect("a folder");
        let path = place.path().join("rows");
        file(&path).expect("made");
        assert_eq!(mode(&path), 0o600);
        set(&path, 0o644);
        file(&path).expect("mine");
        assert_eq!(mode(&path), 0o600);
        set(&path, 0o666);
        assert!(file(&path).is_err());
        set(&path, 0o600);
        let link = place.path().join("link");
        symlink(&path, &link).expect("a link");
        for opened in [file(&link), readable(&link)] {
            let error = opened.expect_err("a link");
            assert!(error.to_string().contains("is a link"), "{error}");
        }
        let away = place.path().join("away");
        symlink(place.path().join("nowhere"), &away).expect("a link");
        assert!(file(&away).is_err());
        assert!(!place.path().join("nowhere").exists());
    }
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "write/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/report.h"
#include "base/text.h"

static bool is_folder(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

sb_status sb_make_folder(const char *folder, sb_report *report)
{
    char *path = sb_strdup(folder);
    if (path == NULL)
        return SB_ERR_NOMEM;
    sb_status status = SB_OK;
    for (char *end = path + 1; status == SB_OK; end++) {
        bool last = *end == '\0';
        if (!last && *end != '/')
            continue;
        *end = '\0';
        if (mkdir(path, 0777) != 0 && !(errno == EEXIST && is_folder(path)))
            status = sb_bad_system(report, path, "cannot make this folder");
        if (last)
            break;
        *end = '/';
    }
    sb_free(path);
    return status;
}

static bool write_all(int file, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t written = write(file, bytes, n);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        bytes += written;
        n -= (size_t)written;
    }
    return true;
}

/* The rename itself is on the disk only when the folder is; a folder that cannot be synced (some
 * network file systems) is no reason to fail: the new file is whole either way. */
static void sync_folder(const char *folder)
{
    int handle = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0)
        return;
    (void)fsync(handle);
    (void)close(handle);
}

/* Opens a new file beside the one to be written, under a name nobody uses; -1 with errno set. */
static int open_temporary(const char *folder, const char *name, sb_text *path)
{
    for (int attempt = 0; attempt < 1000; attempt++) {
        sb_text_clear(path);
        sb_text_addf(path, "%s/.%s.%ld-%d", folder, name, (long)getpid(), attempt);
        if (path->failed) {
            errno = ENOMEM;
            return -1;
        }
        int file = open(path->bytes, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (file >= 0 || errno != EEXIST)
            return file;
    }
    return -1;
}

sb_status sb_write_file(const char *folder, const char *name, const char *bytes, size_t n,
                        sb_report *report)
{
    sb_status status = SB_OK;
    sb_text path = {0}, temporary = {0};
    int file = -1;
    bool made = false;
    sb_text_addf(&path, "%s/%s", folder, name);
    file = path.failed ? -1 : open_temporary(folder, name, &temporary);
    if (path.failed || temporary.failed) {
        status = SB_ERR_NOMEM;
        goto out;
    }
    made = file >= 0;
    if (!made || !write_all(file, bytes, n) || fsync(file) != 0) {
        status = sb_bad_system(report, path.bytes, "cannot write this file");
        goto out;
    }
    /* Once closed, whatever close says, the number may belong to somebody else. */
    int closed = close(file);
    file = -1;
    if (closed != 0 || rename(temporary.bytes, path.bytes) != 0) {
        status = sb_bad_system(report, path.bytes, "cannot write this file");
        goto out;
    }
    made = false;
    sync_folder(folder);
out:
    if (file >= 0)
        (void)close(file);
    if (made)
        (void)unlink(temporary.bytes);
    sb_text_release(&path);
    sb_text_release(&temporary);
    return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "work.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <zip.h>

#include "order/tradeoff.h"
#include "plan/plan.h"

#define PATH_BYTES 1024

static char folder[] = "scratch-robust-XXXXXX";
static const char *const outputs[] = {"plan.json", "ledger.csv",     "schedule.csv", "calendar.ics",
                                      "route.gpx", "fields.geojson", "map.kml",      "season.html"};
#define N_OUTPUTS (sizeof outputs / sizeof *outputs)
static const char OLD[] = "the old plan";

/* Opened before memory gets short; its buffer is ours. */
static FILE *printed;
static char printed_buffer[1 << 16];

/* A name with a slash is a file of the repository, else one of those made in the folder. */
static const char *place(const char *name, char path[PATH_BYTES])
{
    const char *source = getenv("SEEDBREAK_SOURCE");
    if (strchr(name, '/') != NULL)
        snprintf(path, PATH_BYTES, "%s/%s", source != NULL ? source : ".", name);
    else
        snprintf(path, PATH_BYTES, "%s/%s", folder, name);
    return path;
}

static sb_status read_season(const work *job, sb_report *report, sb_season **season)
{
    static char paths[6][PATH_BYTES];
    const char *files[5];
    size_t n = 0;
    for (; n < 5 && job->files[n] != NULL; n++)
        files[n] = place(job->files[n], paths[n]);
    sb_read_options options = {
        .travel_csv = job->travel_csv != NULL ? place(job->travel_csv, paths[5]) : NULL};
    return sb_season_read(files, n, &options, report, season);
}

static sb_status run_check(const work *job, sb_report *report)
{
    sb_season *season = NULL;
    sb_status status = read_season(job, report, &season);
    if (status == SB_OK)
        status = sb_print_check(season, report, printed);
    if (status == SB_OK)
        status = sb_print_check_json(season, report, printed);
    sb_season_free(season);
    return status;
}

static sb_status order(const work *job, const sb_season *season, sb_report *report, sb_plan **plan)
{
    sb_order_options options;
    sb_order_options_init(&options);
    options.by = job->by;
    options.threads = 1;
    sb_status status = sb_order(season, &options, report, plan);
    if (status == SB_OK)
        (*plan)->proof.seconds = 0; /* the one number that no two runs share */
    return status;
}

static sb_status run_order(const work *job, sb_report *report)
{
    char path[PATH_BYTES];
    sb_season *season = NULL;
    sb_plan *plan = NULL;
    sb_status status = read_season(job, report, &season);
    if (status == SB_OK)
        status = order(job, season, report, &plan);
    if (status == SB_OK)
        status = sb_print_plan(season, plan, printed);
    if (status == SB_OK)
        status = sb_print_plan_json(season, plan, printed);
    if (status == SB_OK)
        status = sb_write_outputs(season, plan, place("out", path), report);
    sb_plan_free(plan);
    sb_season_free(season);
    return status;
}

/* A plan by hand, priced, its order kept with the best cleanouts. */
static sb_status run_kept(const work *job, sb_report *report)
{
    char path[PATH_BYTES];
    sb_season *season = NULL;
    sb_plan *by_hand = NULL, *plan = NULL;
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    options.by = SB_BY_PLAN;
    sb_status status = read_season(job, report, &season);
    if (status == SB_OK)
        status =
            sb_plan_read(season, place("tests/robust/season/by_hand.json", path), report, &by_hand);
    options.keep_order = by_hand;
    if (status == SB_OK)
        status = sb_print_plan(season, by_hand, printed);
    if (status == SB_OK)
        status = sb_order(season, &options, report, &plan);
    sb_plan_free(plan);
    sb_plan_free(by_hand);
    sb_season_free(season);
    return status;
}

/* The trade-off of a season, on the terminal and on the disk. */
static sb_status run_weigh(const work *job, sb_report *report)
{
    char path[PATH_BYTES];
    sb_season *season = NULL;
    sb_curve *curve = NULL;
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_status status = read_season(job, report, &season);
    if (status == SB_OK)
        status = sb_weigh(season, &options, report, &curve);
    if (status == SB_OK)
        curve->seconds = 0;
    if (status == SB_OK)
        status = sb_print_curve(season, curve, printed);
    if (status == SB_OK)
        status = sb_write_curve(season, curve, place("weighed", path), report);
    sb_curve_free(curve);
    sb_season_free(season);
    return status;
}

/* Why every move of a plan by hand is as it is, what its cleanouts take, and the plan beside
 * itself. */
static sb_status run_why(const work *job, sb_report *report)
{
    char path[PATH_BYTES];
    sb_season *season = NULL;
    sb_plan *plan = NULL;
    sb_status status = read_season(job, report, &season);
    if (status == SB_OK)
        status =
            sb_plan_read(season, place("tests/robust/season/by_hand.json", path), report, &plan);
    const sb_rival beside[] = {{"by hand", plan}, {"again", plan}};
    if (status == SB_OK)
        status = sb_print_why(season, plan, NULL, report, printed);
    if (status == SB_OK)
        status = sb_print_checklist(season, plan, printed);
    if (status == SB_OK)
        status = sb_print_comparison(season, beside, 2, printed);
    if (status == SB_OK)
        status = sb_print_comparison_json(season, beside, 2, printed);
    sb_plan_free(plan);
    sb_season_free(season);
    return status;
}

/* The entry that the log has before every run, and files for logging. */
static char old_log[4096];
static size_t old_log_bytes;
#define LOG "season.log"

static sb_log_addition addition_of(const work *job, const sb_log_said *entries, size_t n)
{
    static char paths[6][PATH_BYTES];
    static const char *files[5];
    sb_log_addition addition = {place(LOG, paths[5]), files, 0, NULL, entries, n, false};
    for (; addition.n_files < 5 && job->files[addition.n_files] != NULL; addition.n_files++)
        files[addition.n_files] = place(job->files[addition.n_files], paths[addition.n_files]);
    return addition;
}

/* A track and an entry go into the log together with what was there. */
static sb_status run_log(const work *job, sb_report *report)
{
    static const sb_log_word words[] = {{"cleanout", "blow"},
                                        {"to", "2026-08-09T16:00"},
                                        {"checked_by", "Ann"},
                                        {"weed:kochia", "40"}};
    const sb_log_said said = {"cleanout", words, sizeof words / sizeof *words};
    char path[PATH_BYTES];
    sb_log_addition addition = addition_of(job, NULL, 0);
    sb_proposal *proposal = NULL;
    sb_log *log = NULL;
    sb_log_added added;
    sb_status status = sb_log_propose(&addition, place("run.gpx", path), NULL, report, &proposal);
    if (status == SB_OK)
        addition.entries = sb_proposal_entries(proposal, &addition.n_entries);
    if (status == SB_OK)
        status = sb_log_try(&addition, report);
    if (status == SB_OK)
        status = sb_print_proposal(proposal, printed);
    if (status == SB_OK)
        status = sb_log_read(addition.log_path, report, &log);
    if (status == SB_OK)
        status = sb_print_log(log, 1, 10, printed);
    addition.entries = &said;
    addition.n_entries = 1;
    if (status == SB_OK)
        status = sb_log_add(&addition, report, &added);
    sb_log_free(log);
    sb_proposal_free(proposal);
    return status;
}

/* What is left is ordered, and what was done becomes the record. */
static sb_status run_resume(const work *job, sb_report *report)
{
    char path[PATH_BYTES];
    sb_log_addition where = addition_of(job, NULL, 0);
    sb_log *log = NULL;
    sb_season *season = NULL;
    sb_resumed *resumed = NULL;
    sb_plan *plan = NULL;
    sb_status status = sb_log_read(where.log_path, report, &log);
    if (status == SB_OK)
        status = sb_season_read_log(log, where.files, where.n_files, NULL, report, &season);
    if (status == SB_OK)
        status = sb_log_check(season, log, report);
    if (status == SB_OK)
        status = sb_resume(season, log, "2026-08-10T09:00", report, &resumed);
    if (status == SB_OK)
        status = order(job, sb_resumed_season(resumed), report, &plan);
    if (status == SB_OK)
        status = sb_resumed_compare(resumed, place("tests/robust/season/by_hand.json", path), plan,
                                    report);
    if (status == SB_OK)
        status = sb_print_resumed(resumed, printed);
    if (status == SB_OK)
        status = sb_print_record_csv(season, log, report, printed);
    if (status == SB_OK)
        status = sb_write_record(season, log, place("record", path), report);
    sb_plan_free(plan);
    sb_resumed_free(resumed);
    sb_season_free(season);
    sb_log_free(log);
    return status;
}

/* Who owes whom for a plan by hand. */
static sb_status run_settle(const work *job, sb_report *report)
{
    char path[PATH_BYTES];
    sb_season *season = NULL;
    sb_plan *plan = NULL;
    sb_settlement *settlement = NULL;
    sb_order_options options;
    sb_order_options_init(&options);
    options.threads = 1;
    sb_status status = read_season(job, report, &season);
    if (status == SB_OK)
        status =
            sb_plan_read(season, place("tests/robust/season/by_hand.json", path), report, &plan);
    if (status == SB_OK)
        status = sb_settle(season, plan, &options, report, &settlement);
    if (status == SB_OK)
        status = sb_print_settlement(season, settlement, printed);
    if (status == SB_OK)
        status = sb_print_settlement_json(season, settlement, printed);
    if (status == SB_OK)
        status = sb_write_settlement(season, settlement, place("settled", path), report);
    sb_settlement_free(settlement);
    sb_plan_free(plan);
    sb_season_free(season);
    return status;
}

#define SEASON "tests/robust/season/"
const work works[] = {
    {"order of a season",
     run_order,
     SB_OK,
     {SEASON "fields.kml", SEASON "scouting.gpx", SEASON "season.xml"},
     SEASON "travel.csv",
     SB_BY_COST},
    {"order of a tour", run_order, SB_OK, {SEASON "tour.gpx"}, NULL, SB_BY_COST},
    {"order by shortest road",
     run_order,
     SB_OK,
     {SEASON "fields.kml", SEASON "season.xml"},
     NULL,
     SB_BY_SHORTEST_ROAD},
    {"order by cleanest first",
     run_order,
     SB_OK,
     {SEASON "fields.kml", SEASON "season.xml"},
     NULL,
     SB_BY_CLEANEST_FIRST},
    {"weigh",
     run_weigh,
     SB_OK,
     {SEASON "fields.kml", SEASON "scouting.gpx", SEASON "season.xml"},
     SEASON "travel.csv",
     SB_BY_COST},
    {"why and beside", run_why, SB_OK, {SEASON "fields.kml"}, NULL, SB_BY_PLAN},
    {"log and track", run_log, SB_OK, {SEASON "fields.kml"}, NULL, SB_BY_COST},
    {"resume and record", run_resume, SB_OK, {SEASON "fields.kml"}, NULL, SB_BY_COST},
    {"settle", run_settle, SB_OK, {SEASON "fields.kml"}, NULL, SB_BY_PLAN},
    {"order kept", run_kept, SB_OK, {SEASON "fields.kml"}, NULL, SB_BY_PLAN},
    {"rules in conflict",
     run_order,
     SB_ERR_INFEASIBLE,
     {SEASON "fields.kml", SEASON "conflict.xml"},
     NULL,
     SB_BY_COST},
    {"check of archives", run_check, SB_OK, {"fields.kmz", "taskdata.zip"}, NULL, SB_BY_COST},
    {"check of old encodings", run_check, SB_OK, {"latin.kml", "wide.kml"}, NULL, SB_BY_COST},
    {"broken files",
     run_check,
     SB_ERR_INPUT,
     {"cut_off.kml", "not_a.zip", "no_scale.xml", SEASON "fields.kml"},
     NULL,
     SB_BY_COST},
};
const size_t n_works = sizeof works / sizeof *works;

sb_status work_run(const work *job)
{
    sb_report *report = sb_report_new();
    sb_status status = report != NULL ? job->run(job, report) : SB_ERR_NOMEM;
    sb_report_free(report);
    return status;
}

static bool put(const char *name, const char *bytes, size_t n)
{
    char path[PATH_BYTES];
    FILE *file = fopen(place(name, path), "wb");
    if (file == NULL)
        return false;
    bool whole = fwrite(bytes, 1, n, file) == n;
    return fclose(file) == 0 && whole;
}

static bool pack(const char *name, const char *inside, const char *source)
{
    char path[PATH_BYTES], from[PATH_BYTES];
    zip_t *zip = zip_open(place(name, path), ZIP_CREATE | ZIP_TRUNCATE, NULL);
    if (zip == NULL)
        return false;
    zip_source_t *bytes = zip_source_file(zip, place(source, from), 0, -1);
    return bytes != NULL && zip_file_add(zip, inside, bytes, 0) >= 0 && zip_close(zip) == 0;
}

#define SQUARE(name)                                                               \
    "<kml><Placemark><name>" name "</name><Polygon><outerBoundaryIs><LinearRing>"  \
    "<coordinates>5,52 5.01,52 5.01,52.01 5,52.01 5,52</coordinates></LinearRing>" \
    "</outerBoundaryIs></Polygon></Placemark></kml>"

static bool put_wide(const char *name, const char *text)
{
    static char wide[2048] = "\xff\xfe";
    size_t n = strlen(text);
    for (size_t i = 0; i < n; i++)
        wide[2 + 2 * i] = text[i];
    return put(name, wide, 2 + 2 * n);
}

/* Two hours up and down near the middle of Reedbed Forty. */
static bool put_track(void)
{
    static char text[1 << 16];
    size_t n = (size_t)snprintf(text, sizeof text, "<gpx><trk><trkseg>\n");
    for (int i = 0; i < 240; i++) {
        int up = i % 40 < 20 ? i % 20 : 20 - i % 20;
        n += (size_t)snprintf(text + n, sizeof text - n,
                              "<trkpt lat='%.6f' lon='-100.2075'><time>2026-08-09T%02d:%02d:%02dZ"
                              "</time></trkpt>\n",
                              47.9105 + up * 0.00015, 10 + i / 120, i / 2 % 60, i % 2 * 30);
    }
    n += (size_t)snprintf(text + n, sizeof text - n, "</trkseg></trk></gpx>\n");
    return put("run.gpx", text, n);
}

/* The log before every run. */
static bool put_log(void)
{
    static const sb_log_word words[] = {{"field", "Scare"}, {"to", "2026-08-08T16:00"}};
    static const work job = {.files = {"tests/robust/season/fields.kml"}};
    const sb_log_said said = {"cut", words, 2};
    char path[PATH_BYTES];
    sb_log_addition addition = addition_of(&job, &said, 1);
    sb_log_added added;
    sb_report *report = sb_report_new();
    bool written = report != NULL && sb_log_add(&addition, report, &added) == SB_OK;
    sb_report_free(report);
    FILE *file = fopen(place(LOG, path), "rb");
    old_log_bytes = file != NULL ? fread(old_log, 1, sizeof old_log, file) : 0;
    if (file != NULL)
        fclose(file);
    return written && old_log_bytes > 0 && old_log_bytes < sizeof old_log;
}

bool work_begin(void)
{
    static const char latin[] = SQUARE("M\xfchlfeld"), cut_off[] = "<kml><Placemark><name>a",
                      not_a_zip[] = "PK\x03\x04 nothing else",
                      no_scale[] = "<season xmlns='urn:seedbreak:season:1'><scale name='no'/>"
                                   "</season>";
    char path[PATH_BYTES];
    if (setenv("SOURCE_DATE_EPOCH", "1785600000", 1) != 0 || setenv("TZ", "UTC", 1) != 0)
        return false;
    if (mkdtemp(folder) == NULL || mkdir(place("out", path), 0777) != 0)
        return false;
    printed = fopen(place("printed", path), "w+b");
    if (printed == NULL)
        return false;
    setvbuf(printed, printed_buffer, _IOFBF, sizeof printed_buffer);
    return put("latin.kml", latin, strlen(latin)) && put_wide("wide.kml", SQUARE("Wide")) &&
           put("cut_off.kml", cut_off, strlen(cut_off)) &&
           put("not_a.zip", not_a_zip, strlen(not_a_zip)) &&
           put("no_scale.xml", no_scale, strlen(no_scale)) &&
           pack("fields.kmz", "doc.kml", SEASON "fields.kml") &&
           pack("taskdata.zip", "TASKDATA/TASKDATA.XML", SEASON "taskdata.xml") && put_track() &&
           put_log();
}

void work_end(void)
{
    char command[128];
    if (printed != NULL)
        fclose(printed);
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    (void)!system(command);
}

static const char *output(size_t i, char path[PATH_BYTES])
{
    char name[64];
    snprintf(name, sizeof name, "out/%s", outputs[i]);
    snprintf(path, PATH_BYTES, "%s/%s", folder, name);
    return path;
}

void work_reset(void)
{
    char path[PATH_BYTES];
    for (size_t i = 0; i < N_OUTPUTS; i++) {
        FILE *file = fopen(output(i, path), "wb");
        if (file == NULL)
            continue;
        fputs(OLD, file);
        fclose(file);
    }
    (void)!put(LOG, old_log, old_log_bytes);
    rewind(printed);
    (void)!ftruncate(fileno(printed), 0);
}

static size_t entries(void)
{
    char path[PATH_BYTES];
    size_t n = 0;
    DIR *listing = opendir(place("out", path));
    for (struct dirent *entry; listing != NULL && (entry = readdir(listing)) != NULL;)
        n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    if (listing != NULL)
        closedir(listing);
    return n;
}

bool work_kept_old_plan(void)
{
    char path[PATH_BYTES], bytes[64];
    for (size_t i = 0; i < N_OUTPUTS; i++) {
        FILE *file = fopen(output(i, path), "rb");
        size_t n = file != NULL ? fread(bytes, 1, sizeof bytes, file) : 0;
        if (file != NULL)
            fclose(file);
        if (n != strlen(OLD) || memcmp(bytes, OLD, n) != 0)
            return false;
    }
    char log[sizeof old_log];
    FILE *file = fopen(place(LOG, path), "rb");
    size_t n = file != NULL ? fread(log, 1, sizeof log, file) : 0;
    if (file != NULL)
        fclose(file);
    return n == old_log_bytes && memcmp(log, old_log, n) == 0 && entries() == N_OUTPUTS;
}

/* FNV-1a. */
static uint64_t digest_file(FILE *file, uint64_t digest)
{
    for (int c; (c = getc(file)) != EOF;)
        digest = (digest ^ (uint64_t)c) * UINT64_C(1099511628211);
    return digest;
}

uint64_t work_digest(void)
{
    char path[PATH_BYTES];
    uint64_t digest = UINT64_C(14695981039346656037);
    fflush(printed);
    rewind(printed);
    digest = digest_file(printed, digest);
    for (size_t i = 0; i < N_OUTPUTS; i++) {
        FILE *file = fopen(output(i, path), "rb");
        if (file == NULL)
            continue;
        digest = digest_file(file, digest);
        fclose(file);
    }
    FILE *log = fopen(place(LOG, path), "rb");
    if (log != NULL) {
        digest = digest_file(log, digest);
        fclose(log);
    }
    return digest ^ entries();
}

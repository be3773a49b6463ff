/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A track is read, or says what is wrong with it; its fixes lie in order on the globe, its stays in
 * fields follow each other and cut no more than there is; written again it is the same track, and
 * an hour later it has the same stays. */
#include <math.h>
#include <time.h>

#include "base/mem.h"
#include "fuzz.h"
#include "log/track.h"
#include "track_fields.h"

#define SWATH_M 10.0
#define LATER_S 3600

/* Read once. */
static const sb_season *season(void)
{
    static sb_season *read;
    if (read == NULL) {
        const char *path = fuzz_file(SUPPORT_TRACK_FIELDS, sizeof SUPPORT_TRACK_FIELDS - 1);
        sb_report *report = sb_report_new();
        HOLDS(sb_season_read(&path, 1, NULL, report, &read) == SB_OK);
        HOLDS(read->n_fields == N_TRACK_FIELDS);
        sb_report_free(report);
    }
    return read;
}

static void check_fixes(const sb_track *track)
{
    HOLDS(track->fixes.count > 0 && track->fixes.items[0].begins);
    for (size_t i = 0; i < track->fixes.count; i++) {
        const sb_fix *fix = &track->fixes.items[i];
        HOLDS(fabs(fix->place.lon_deg) <= 180 && fabs(fix->place.lat_deg) <= 90);
        HOLDS(i == 0 || fix->seconds >= fix[-1].seconds);
    }
}

static double length_m(const sb_track *track)
{
    double length = 0;
    for (size_t i = 1; i < track->fixes.count; i++)
        length += sb_distance_m(track->fixes.items[i - 1].place, track->fixes.items[i].place);
    return length;
}

static void check_stays(const sb_track *track, const sb_stays *stays)
{
    double cut[N_TRACK_FIELDS] = {0}, cut_m = 0;
    long long last_s = track->fixes.items[track->fixes.count - 1].seconds;
    for (size_t i = 0; i < stays->count; i++) {
        const sb_stay *stay = &stays->items[i];
        HOLDS(stay->field >= 0 && stay->field < N_TRACK_FIELDS);
        HOLDS(stay->from_s <= stay->to_s && stay->to_s <= last_s);
        HOLDS(i == 0 || stay->from_s >= stay[-1].from_s);
        HOLDS(stay->share >= 0 && stay->cut_m >= 0);
        HOLDS(!stay->finishes || stay->counts);
        cut[stay->field] += stay->share;
        cut_m += stay->cut_m;
    }
    for (int f = 0; f < N_TRACK_FIELDS; f++)
        HOLDS(cut[f] <= 1 + 1e-9);
    HOLDS(cut_m <= length_m(track) * (1 + 1e-9) + 1e-6);
}

static sb_stays stays_of(const sb_track *track)
{
    double cut_share[N_TRACK_FIELDS] = {0};
    sb_stays stays = {0};
    HOLDS(sb_track_stays(season(), track, SWATH_M, cut_share, &stays) == SB_OK);
    return stays;
}

static void check_later(const sb_track *track, const sb_stays *stays)
{
    for (size_t i = 0; i < track->fixes.count; i++)
        track->fixes.items[i].seconds += LATER_S;
    sb_stays later = stays_of(track);
    HOLDS(later.count == stays->count);
    for (size_t i = 0; i < later.count; i++) {
        HOLDS(later.items[i].field == stays->items[i].field);
        HOLDS(later.items[i].from_s == stays->items[i].from_s + LATER_S);
        HOLDS(later.items[i].to_s == stays->items[i].to_s + LATER_S);
        HOLDS(later.items[i].share == stays->items[i].share);
    }
    for (size_t i = 0; i < track->fixes.count; i++)
        track->fixes.items[i].seconds -= LATER_S;
    sb_free(later.items);
}

static void write_gpx(const sb_track *track, sb_text *gpx)
{
    sb_text_addf(gpx, "<gpx><trk>");
    for (size_t i = 0; i < track->fixes.count; i++) {
        const sb_fix *fix = &track->fixes.items[i];
        time_t seconds = (time_t)fix->seconds;
        const struct tm *utc = gmtime(&seconds);
        HOLDS(utc != NULL);
        if (fix->begins)
            sb_text_addf(gpx, "%s<trkseg>", i > 0 ? "</trkseg>" : "");
        sb_text_addf(gpx,
                     "<trkpt lat=\"%.17g\" lon=\"%.17g\"><time>%04d-%02d-%02dT%02d:%02d:%02dZ"
                     "</time></trkpt>",
                     fix->place.lat_deg, fix->place.lon_deg, utc->tm_year + 1900, utc->tm_mon + 1,
                     utc->tm_mday, utc->tm_hour, utc->tm_min, utc->tm_sec);
    }
    sb_text_addf(gpx, "</trkseg></trk></gpx>");
}

static void check_again(const sb_track *track)
{
    sb_text gpx = {0};
    write_gpx(track, &gpx);
    sb_report *report = sb_report_new();
    sb_track again;
    HOLDS(sb_track_read(fuzz_file(gpx.bytes, gpx.count), report, &again) == SB_OK);
    HOLDS(again.fixes.count == track->fixes.count);
    for (size_t i = 0; i < again.fixes.count; i++) {
        const sb_fix *one = &again.fixes.items[i], *other = &track->fixes.items[i];
        HOLDS(one->place.lon_deg == other->place.lon_deg);
        HOLDS(one->place.lat_deg == other->place.lat_deg);
        HOLDS(one->seconds == other->seconds && one->begins == other->begins);
    }
    sb_track_release(&again);
    sb_report_free(report);
    sb_text_release(&gpx);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    (void)season(); /* its file has the track's name */
    sb_report *report = sb_report_new();
    sb_track track;
    sb_status status = sb_track_read(fuzz_file(bytes, n), report, &track);
    HOLDS(status == SB_OK || status == SB_ERR_INPUT);
    if (status == SB_OK) {
        check_fixes(&track);
        sb_stays stays = stays_of(&track);
        check_stays(&track, &stays);
        check_later(&track, &stays);
        check_again(&track);
        sb_free(stays.items);
    }
    sb_track_release(&track);
    sb_report_free(report);
    return 0;
}

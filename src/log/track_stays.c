/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a track to the stays of a machine in fields. */
#include <math.h>
#include <string.h>

#include "base/mem.h"
#include "geo/unwrap.h"
#include "log/track.h"

#define M2_PER_HA 1e4

typedef struct matching {
    const sb_season *season;
    sb_box *boxes; /* by field */
    int last;      /* the field that was found last: most likely the next */
} matching;

/* ---- Where a place lies -----------------------------------------------------------------------
 */

static bool in_field(const matching *m, int field, sb_lonlat place)
{
    const sb_field *f = &m->season->fields[field];
    const sb_box *box = &m->boxes[field];
    double lon_deg = sb_unwrap_deg(place.lon_deg, (box->west_deg + box->east_deg) / 2);
    if (f->n_parts == 0 || lon_deg < box->west_deg || lon_deg > box->east_deg ||
        place.lat_deg < box->south_deg || place.lat_deg > box->north_deg)
        return false;
    for (size_t i = 0; i < f->n_parts; i++)
        if (sb_part_contains(&f->parts[i], place))
            return true;
    return false;
}

/* The first field that the place lies in, -1: none. */
static int field_at(matching *m, sb_lonlat place)
{
    if (m->last >= 0 && in_field(m, m->last, place))
        return m->last;
    for (int i = 0; i < (int)m->season->n_fields; i++)
        if (in_field(m, i, place))
            return m->last = i;
    return -1;
}

static sb_lonlat middle(sb_lonlat a, sb_lonlat b)
{
    double lon_deg = (a.lon_deg + sb_unwrap_deg(b.lon_deg, a.lon_deg)) / 2;
    return (sb_lonlat){sb_unwrap_deg(lon_deg, 0), (a.lat_deg + b.lat_deg) / 2};
}

/* ---- Legs -------------------------------------------------------------------------------------
 */

typedef struct leg {
    int field; /* -1: in none */
    bool blind, cutting;
} leg;

static leg look_at(matching *m, const sb_fix *a, const sb_fix *b)
{
    double metres = sb_distance_m(a->place, b->place);
    double seconds = (double)(b->seconds - a->seconds);
    leg made = {.blind = b->begins || seconds > SB_TRACK_LEG_S || metres > SB_TRACK_LEG_M};
    if (made.blind) {
        int begin = field_at(m, a->place);
        made.field = begin == field_at(m, b->place) ? begin : -1;
        return made;
    }
    made.field = field_at(m, middle(a->place, b->place));
    made.cutting = metres * 3.6 <= SB_TRACK_MOST_CUTTING_KM_H * seconds;
    return made;
}

/* ---- Stays ------------------------------------------------------------------------------------
 */

/* The stay that goes on in a field from a moment; NULL: a new one begins. What lies between was a
 * turn, and is taken out. */
static sb_stay *going_on(sb_stays *stays, int field, long long from_s)
{
    for (size_t i = stays->count; i-- > 0;) {
        sb_stay *stay = &stays->items[i];
        if (from_s - stay->to_s > SB_TRACK_OUT_S)
            return NULL;
        if (stay->field == field) {
            stays->count = i + 1;
            return stay;
        }
        if (stay->to_s - stay->from_s >= SB_TRACK_STAY_S)
            return NULL;
    }
    return NULL;
}

static bool add_leg(sb_stays *stays, int field, const sb_fix *a, const sb_fix *b, double cut_m)
{
    sb_stay *stay = going_on(stays, field, a->seconds);
    if (stay == NULL) {
        sb_stay made = {.field = field, .from_s = a->seconds};
        if (!SB_PUSH(stays, made))
            return false;
        stay = &stays->items[stays->count - 1];
    }
    stay->to_s = b->seconds;
    stay->cut_m += cut_m;
    return true;
}

static bool collect(matching *m, const sb_track *track, sb_stays *stays)
{
    const sb_fix *anchor = track->fixes.items; /* metres are counted from there */
    int anchored = -1;                         /* in that field */
    for (size_t i = 1; i < track->fixes.count; i++) {
        const sb_fix *a = &track->fixes.items[i - 1], *b = a + 1;
        leg l = look_at(m, a, b);
        double cut_m = 0;
        if (l.blind || !l.cutting || l.field < 0) {
            anchored = -1;
        } else {
            if (anchored != l.field)
                anchor = a;
            anchored = l.field;
            double metres = sb_distance_m(anchor->place, b->place);
            if (metres >= SB_TRACK_STEP_M) {
                cut_m = metres;
                anchor = b;
            }
        }
        if (l.field >= 0 && !add_leg(stays, l.field, a, b, cut_m))
            return false;
    }
    return true;
}

sb_status sb_track_judge(const sb_season *season, double width_m, const double *cut_share,
                         sb_stays *stays)
{
    double *shares = sb_alloc(season->n_fields, sizeof *shares);
    if (shares == NULL)
        return SB_ERR_NOMEM;
    memcpy(shares, cut_share, season->n_fields * sizeof *shares);
    for (size_t i = 0; i < stays->count; i++) {
        sb_stay *stay = &stays->items[i];
        double *before = &shares[stay->field];
        stay->finishes = false;
        stay->share = stay->cut_m * width_m / M2_PER_HA / season->fields[stay->field].area_ha;
        stay->counts = stay->logged == 0 && stay->to_s - stay->from_s >= SB_TRACK_STAY_S &&
                       stay->share >= SB_TRACK_SHARE;
        if (!stay->counts)
            continue;
        if (*before > 1) { /* finished by an earlier stay */
            stay->counts = false;
            continue;
        }
        stay->share = fmin(stay->share, 1 - *before);
        *before += stay->share;
        stay->finishes = *before >= SB_TRACK_FINISHED;
        if (stay->finishes)
            *before = 2;
    }
    sb_free(shares);
    return SB_OK;
}

sb_status sb_track_stays(const sb_season *season, const sb_track *track, double width_m,
                         const double *cut_share, sb_stays *stays)
{
    size_t n = season->n_fields;
    matching m = {.season = season, .last = -1};
    m.boxes = sb_alloc(n, sizeof *m.boxes);
    sb_status status = SB_ERR_NOMEM;
    *stays = (sb_stays){0};
    if (m.boxes == NULL)
        goto out;
    for (size_t i = 0; i < n; i++) {
        const sb_field *field = &season->fields[i];
        if (field->n_parts > 0)
            m.boxes[i] = sb_parts_box(field->parts, field->n_parts, field->place.lon_deg);
    }
    if (!collect(&m, track, stays))
        goto out;
    status = sb_track_judge(season, width_m, cut_share, stays);
out:
    sb_free(m.boxes);
    return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Built-in cleanout levels with the crew's steps.
 *
 * Totals of minutes: quick clean 15-45 min (Greenlees & Shouse), about 30 min between fields and
 * 2-7 h for a full clean (Hanna, Jarboe & Quick 2005); how they split over sections is common
 * practice without a source. Order of the steps: Anderson, Jarek, Johnson, Ohnesorg & Hanna,
 * Between-field combine clean-out; from the top down and from header to rear. */
#include "base/mem.h"
#include "season/builtin.h"

/* Built-in sections, in the order of the machine. */
enum { HEADER, ROCK_TRAP, THRESHING, SHOE, TANK, CHOPPER, N_SECTIONS };

#define MAX_STEPS 12
#define MAX_COUNTED 4

typedef struct level {
    const char *id, *name;
    double minutes, people, supplies_cost;
    struct {
        double amount;
        const char *unit, *name;
    } counted[MAX_COUNTED]; /* up to the first without a name */
    const char *supplies;
    bool full;
    double keep_loose[N_SECTIONS], keep_lodged[N_SECTIONS];
    struct {
        const char *section;
        double minutes;
        const char *text;
    } steps[MAX_STEPS]; /* up to the first without a text */
    sb_basis basis;
    const char *source;
} level;

#define SELF_CLEAN                                                                               \
    "Run the unloading auger empty for a minute. Open the doors of "                             \
    "the clean-grain and tailings elevators, the rock trap and the auger sump. Everyone stands " \
    "15 m (50 ft) away. Run the machine 2 minutes at high idle, fan and rotor at full speed, "   \
    "sieves and concave opened and closed. Engine off, key out."

static const level levels[] = {
    {
        .id = "none",
        .name = "No cleanout",
        .supplies = "",
        .keep_loose = {1, 1, 1, 1, 1, 1},
        .keep_lodged = {1, 1, 1, 1, 1, 1},
        .basis = SB_ASSUMED,
        .source = "by definition",
    },
    {
        .id = "blowdown",
        .name = "Blow down",
        .minutes = 22,
        .people = 2,
        .supplies_cost = 5,
        .supplies = "compressed air or a leaf blower, a hand brush, a tarp for the debris, "
                    "respirators",
        .keep_loose = {.25, .15, .60, .45, .50, .30},
        .keep_lodged = {.75, .50, .95, .90, .95, .80},
        .steps =
            {
                {"", 4, SELF_CLEAN},
                {"tank", 2, "Blow the ledges of the grain tank and the auger sump."},
                {"header", 8,
                 "Block the header. Blow it from one end to the other, then the feeder house."},
                {"rock_trap", 2, "Empty the rock trap by hand."},
                {"shoe", 2, "Tap and blow the open elevator doors and the end of the sieves."},
                {"chopper", 4,
                 "Blow the rear axle, the chopper and the spreader. Close every door."},
            },
        .basis = SB_FITTED,
        .source = "share kept: fitted, with no published measurement behind it; minutes: quick "
                  "clean of 15-45 min (Greenlees & Shouse, Farm Progress) and 5-15 min for the "
                  "header (D. Smith, University of Wisconsin); two people: AA Farmer (UK); "
                  "supplies cost assumed",
    },
    {
        .id = "thorough",
        .name = "Thorough clean",
        .minutes = 120,
        .people = 2,
        .supplies_cost = 15,
        .supplies = "compressed air, a shop vacuum with its generator, scrapers and screwdrivers, "
                    "a hand brush, a tarp for the debris, respirators",
        .keep_loose = {.12, .08, .35, .25, .25, .15},
        .keep_lodged = {.35, .15, .60, .50, .45, .45},
        .steps =
            {
                {"", 5, SELF_CLEAN},
                {"tank", 25,
                 "From the top: vacuum ledges, steps, lights and sensors of the grain tank; open "
                 "the sump and clear the unloading auger."},
                {"header", 30,
                 "Block the header. Blow and vacuum behind the knife or the snapping plates, the "
                 "dividers and the auger; then the feeder house and its chain."},
                {"rock_trap", 5, "Empty the rock trap by hand, scrape its corners, blow it out."},
                {"threshing", 25,
                 "Open the side panels. Blow rotor or cylinder, concave and the ledges beside "
                 "them from both sides."},
                {"shoe", 20,
                 "Blow sieves and grain pan; clear the tailings and clean-grain elevators from "
                 "their bottom doors."},
                {"chopper", 10, "Blow chopper, spreader, rear axle and chassis. Close every door."},
            },
        .basis = SB_FITTED,
        .source = "share kept: fitted to the first bushel after a clean-out (Hanna, Jarboe & "
                  "Quick 2005); minutes: the short end of their 2-7 h; two people: AA Farmer "
                  "(UK); supplies cost assumed",
    },
    {
        .id = "deep",
        .name = "Deep clean with a flush",
        .minutes = 315,
        .people = 2,
        .supplies_cost = 40,
        .counted = {{3, "bales", "straw"},
                    {11, "kg", "wood pellets"},
                    {.04, "m3", "wood shavings"}},
        .supplies = "compressed air, a shop vacuum with its generator, scrapers, screwdrivers "
                    "and a knife, a tarp for the debris, respirators",
        .full = true,
        .keep_loose = {.02, .01, .05, .03, .025, .03},
        .keep_lodged = {.10, .05, .20, .15, .12, .15},
        .steps =
            {
                {"", 10, SELF_CLEAN " Run it a second time over rough ground or end rows."},
                {"tank", 60,
                 "From the top: vacuum ledges, steps, lights, sensors and wiring of the grain "
                 "tank. Take the sump cover off and clear the cross and unloading augers."},
                {"header", 70,
                 "Block the header. Take covers and dividers off; blow and vacuum knife or "
                 "snapping plates, auger and frame. Then the feeder house: chain, floor and drum."},
                {"rock_trap", 10, "Empty the rock trap by hand, scrape and vacuum it to metal."},
                {"threshing", 60,
                 "Open every panel. Blow and vacuum rotor or cylinder, concave, separator and the "
                 "ledges beside them; turn the rotor by hand and repeat."},
                {"shoe", 50,
                 "Take the sieves out or open them fully. Blow sieves, grain pan and fan housing; "
                 "clear the tailings and clean-grain elevators top and bottom."},
                {"chopper", 25,
                 "Blow chopper, spreader, rear axle, chassis and every ledge outside."},
                {"", 30,
                 "Close the doors. Engine and threshing parts at normal speed: feed two loosened "
                 "bales from both ends of the header, then half a bale mixed with the pellets. "
                 "Pack the shavings into the auger sump and run them out. Repeat the self-clean "
                 "until nothing more falls on the tarp."},
            },
        .basis = SB_FITTED,
        .source = "share kept: fitted to the first bushel after a full clean-out (Hanna, Jarboe & "
                  "Quick 2005), and near the 5.4 % that Allnutt et al. 2013 (Ann Appl Biol "
                  "162:119-130) find for a whole machinery chain; minutes: their 2-7 h; shavings: "
                  "extension column (Elkhart Truth 2020); bales and pellets: common practice, no "
                  "source; two people: AA Farmer (UK); supplies cost assumed",
    },
};

static sb_status copy_steps(sb_cleanout *cleanout, const level *from)
{
    size_t n = 0;
    while (n < MAX_STEPS && from->steps[n].text != NULL)
        n++;
    cleanout->steps = sb_alloc(n, sizeof *cleanout->steps);
    if (cleanout->steps == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++) {
        sb_step *step = &cleanout->steps[cleanout->n_steps++];
        step->minutes = from->steps[i].minutes;
        if (!sb_builtin_text(&step->section, from->steps[i].section) ||
            !sb_builtin_text(&step->text, from->steps[i].text))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

static sb_status copy_counted(sb_cleanout *cleanout, const level *from)
{
    cleanout->counted = sb_alloc(MAX_COUNTED, sizeof *cleanout->counted);
    if (cleanout->counted == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < MAX_COUNTED && from->counted[i].name != NULL; i++) {
        sb_supply *supply = &cleanout->counted[cleanout->n_counted++];
        supply->amount = from->counted[i].amount;
        if (!sb_builtin_text(&supply->name, from->counted[i].name) ||
            !sb_builtin_text(&supply->unit, from->counted[i].unit))
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

sb_status sb_builtin_cleanouts(sb_setup *setup)
{
    size_t n = sizeof levels / sizeof *levels;
    setup->cleanouts = sb_alloc(n, sizeof *setup->cleanouts);
    if (setup->cleanouts == NULL)
        return SB_ERR_NOMEM;
    for (size_t i = 0; i < n; i++) {
        const level *from = &levels[i];
        sb_cleanout *cleanout = &setup->cleanouts[setup->n_cleanouts++];
        cleanout->minutes = from->minutes;
        cleanout->people = from->people;
        cleanout->supplies_cost = from->supplies_cost;
        cleanout->full = from->full;
        cleanout->basis = from->basis;
        for (size_t s = 0; s < N_SECTIONS; s++) {
            cleanout->keep_loose[s] = from->keep_loose[s];
            cleanout->keep_lodged[s] = from->keep_lodged[s];
        }
        if (!sb_builtin_text(&cleanout->id, from->id) ||
            !sb_builtin_text(&cleanout->name, from->name) ||
            !sb_builtin_text(&cleanout->supplies, from->supplies) ||
            !sb_builtin_text(&cleanout->source, from->source) ||
            copy_counted(cleanout, from) != SB_OK || copy_steps(cleanout, from) != SB_OK)
            return SB_ERR_NOMEM;
    }
    return SB_OK;
}

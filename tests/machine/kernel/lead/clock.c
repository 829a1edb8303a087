// SPDX-License-Identifier: GPL-2.0
/* The field clock, and the log of what each field showed. */
#include <linux/debugfs.h>
#include <linux/math64.h>
#include <linux/seq_file.h>
#include <linux/vmalloc.h>
#include <drm/drm_debugfs.h>
#include <drm/drm_managed.h>
#include <drm/drm_vblank.h>
#include "lead.h"

static ktime_t field_start(const struct lead *lead, u64 n)
{
	return ktime_add_ns(lead->start,
			    mul_u64_u64_div_u64(n * lead->samples, 1000000, CLOCK_KHZ * lead->fields));
}

static u64 field_at(const struct lead *lead, ktime_t now)
{
	u64 n = mul_u64_u64_div_u64(ktime_sub(now, lead->start), CLOCK_KHZ * lead->fields, lead->samples * 1000000);

	while (field_start(lead, n + 1) <= now)
		n++;
	return n;
}

static void log_field(struct lead *lead, u64 number, bool late)
{
	lead->log[lead->logged++ % LOG_FIELDS] = (struct field){
		.number = number,
		.stamp = ktime_to_ns(field_start(lead, number)),
		.picture = lead->latched,
		.late = late,
	};
}

/* Fields that the timer slept through went on showing what was latched; the newest latches what is pending. */
static enum hrtimer_restart next_field(struct hrtimer *timer)
{
	struct lead *lead = container_of(timer, struct lead, timer);
	unsigned long flags;
	u64 newest, n;

	spin_lock_irqsave(&lead->drm.event_lock, flags);
	newest = max(field_at(lead, ktime_get()), lead->number + 1);
	for (n = max(lead->number + 1, newest > LOG_FIELDS ? newest - LOG_FIELDS : 0); n < newest; n++)
		log_field(lead, n, true);
	lead->latched = lead->pending;
	lead->number = newest;
	lead->stamp = field_start(lead, newest);
	log_field(lead, newest, false);
	hrtimer_set_expires(timer, field_start(lead, newest + 1));
	spin_unlock_irqrestore(&lead->drm.event_lock, flags);

	drm_crtc_handle_vblank(&lead->crtc);
	return HRTIMER_RESTART;
}

bool get_stamp(struct drm_crtc *crtc, int *max_error, ktime_t *stamp, bool in_irq)
{
	*max_error = 0;
	*stamp = READ_ONCE(to_lead(crtc->dev)->stamp);
	return true;
}

static int fields_show(struct seq_file *file, void *unused)
{
	struct drm_debugfs_entry *entry = file->private;
	struct lead *lead = to_lead(entry->dev);
	struct field *copy = vmalloc(array_size(LOG_FIELDS, sizeof(*copy)));
	u64 i, end;

	if (!copy)
		return -ENOMEM;
	spin_lock_irq(&lead->drm.event_lock);
	memcpy(copy, lead->log, LOG_FIELDS * sizeof(*copy));
	end = lead->logged;
	spin_unlock_irq(&lead->drm.event_lock);
	seq_puts(file, "number stamp_ns fb offset pitch x y late\n");
	for (i = end > LOG_FIELDS ? end - LOG_FIELDS : 0; i < end; i++) {
		struct field *f = &copy[i % LOG_FIELDS];

		seq_printf(file, "%llu %lld %u %u %u %u %u %d\n", f->number, f->stamp, f->picture.fb,
			   f->picture.offset, f->picture.pitch, f->picture.x, f->picture.y, f->late);
	}
	vfree(copy);
	return 0;
}

/* Begin with field 0 now. */
void start_clock(struct lead *lead, const struct drm_display_mode *mode)
{
	ktime_t first;

	spin_lock_irq(&lead->drm.event_lock);
	lead->samples = (u64)mode->htotal * mode->vtotal;
	lead->fields = mode->flags & DRM_MODE_FLAG_INTERLACE ? 2 : 1;
	lead->start = lead->stamp = ktime_get();
	lead->number = 0;
	lead->latched = (struct picture){};
	first = field_start(lead, 1);
	spin_unlock_irq(&lead->drm.event_lock);
	drm_crtc_vblank_on(&lead->crtc);
	hrtimer_start(&lead->timer, first, HRTIMER_MODE_ABS);
}

void stop_clock(struct lead *lead)
{
	hrtimer_cancel(&lead->timer);
	drm_crtc_vblank_off(&lead->crtc);
}

int make_clock(struct lead *lead)
{
	lead->log = drmm_kcalloc(&lead->drm, LOG_FIELDS, sizeof(*lead->log), GFP_KERNEL);
	if (!lead->log)
		return -ENOMEM;
	hrtimer_init(&lead->timer, CLOCK_MONOTONIC, HRTIMER_MODE_ABS);
	lead->timer.function = next_field;
	drm_debugfs_add_file(&lead->drm, "fields", fields_show, NULL);
	return drm_vblank_init(&lead->drm, 1);
}

/* Where a Cortex-M4F begins: it lets itself use floating point, and newlib does the rest. */
extern void _start(void);

static void reset(void)
{
    *(volatile unsigned *)0xE000ED88u |= 0xFu << 20;
    __asm__ volatile("dsb\nisb");
    _start();
}

typedef void (*Entry)(void);
__attribute__((section(".vectors"), used)) static const Entry vectors[2] = {
    (Entry)0x20400000, /* the stack's end, until newlib moves it */
    reset,
};
